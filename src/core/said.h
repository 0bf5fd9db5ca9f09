#pragma once

#include <string>
#include <utility>

#include <fmt/format.h>

/// Words for people. Libraries say everything in English; a program that shows it in another language sets a
/// translation once, before anything is said. `tools/make-translations` collects every text that stands in
/// said().
namespace greywright {

/// Gives a text in the language wanted, or the text itself.
using Translation = std::string (*)(const char* english);

/// Thread: before others are started.
void sayBy(Translation translation);

/// The one that was set, for a library that is loaded while the program runs; null for English.
[[nodiscard]] Translation translation();

/// In the language wanted.
[[nodiscard]] std::string translated(const char* english);

/// Marks a constant that translated() is asked for later.
[[nodiscard]] constexpr const char* toSay(const char* english) {
    return english;
}

/// A sentence or a part of one, with values in it as by fmt::format. A translation that does not fit the
/// values is passed over.
template <typename... Values>
[[nodiscard]] std::string said(fmt::format_string<Values...> english, Values&&... values) {
    const fmt::string_view source = english;
    if constexpr (sizeof...(Values) > 0) {
        try {
            return fmt::vformat(translated(source.data()), fmt::make_format_args(values...));
        } catch (const fmt::format_error&) {
            return fmt::vformat(source, fmt::make_format_args(values...));
        }
    } else {
        return translated(source.data());
    }
}

}  // namespace greywright
