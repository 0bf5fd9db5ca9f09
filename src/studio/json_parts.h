#pragma once

#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "colour/lab.h"
#include "core/result.h"
#include "steer/steer.h"
#include "studio/corrections.h"

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

/// How a search stands, as answers and the book's verdicts spell it.
inline std::string textFromStatus(steer::Status status) {
    switch (status) {
        case steer::Status::print:
            return "print";
        case steer::Status::settled:
            return "settled";
        case steer::Status::outOfReach:
            return "out_of_reach";
    }
    return {};
}

/// `unit` names the departure, e.g. "worst_departure_L".
inline Json fromRounds(const std::vector<RoundWorth>& rounds, const char* unit) {
    Json out = Json::array();
    for (const RoundWorth& round : rounds) {
        out.push_back({{"trial", round.trial},
                       {"through", round.through},
                       {unit, round.worst.L},
                       {"worst_tone_percent", round.worst.tonePercent}});
    }
    return out;
}

/// File names and comments may hold bytes that are no UTF-8; they must not stop an answer.
inline std::string textFrom(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace greywright::studio
