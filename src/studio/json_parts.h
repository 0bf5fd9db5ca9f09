#pragma once

#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "colour/lab.h"
#include "core/result.h"

/// Pieces of answers; for the sources of this module only.
namespace greywright::studio {

using Json = nlohmann::ordered_json;

inline Json fromLab(const colour::Lab& lab) {
    return {{"L", lab.L}, {"a", lab.a}, {"b", lab.b}};
}

template <typename T>
Json fromOptional(const std::optional<T>& value) {
    return value ? Json(*value) : Json(nullptr);
}

inline Json fromPlace(const Place& place) {
    return {{"path", place.path}, {"line", place.line}, {"field", place.field}};
}

inline Json fromNotes(const std::vector<Note>& notes) {
    Json out = Json::array();
    for (const Note& note : notes) {
        out.push_back({{"code", note.code}, {"text", note.text}, {"where", fromPlace(note.where)}});
    }
    return out;
}

/// File names and comments may hold bytes that are no UTF-8; they must not stop an answer.
inline std::string textFrom(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace greywright::studio
