#pragma once

#include <string>
#include <string_view>

#include <fmt/format.h>

#include "core/result.h"
#include "studio/studio.h"

namespace greywright::cli {

enum Exit : int { kDone = 0, kAnsweredNo = 1, kWrongUse = 2, kBadInput = 3, kCannotWrite = 4 };

/// What a program ends with after an error.
[[nodiscard]] int exitOf(ErrorKind kind);

/// To standard output: the answer and nothing else.
void print(std::string_view text);
/// To standard error: notes and progress.
void tell(std::string_view text);

/// What every command does. Functions that return `int` give the exit code.
struct Terminal {
    std::string book = {};  ///< as given; empty = GREYWRIGHT_BOOK, else a file in the user's data folder
    bool json = false;

    int fail(const Error& error) const;
    int done(std::string_view what) const;
    int write(const std::string& path, const std::string& bytes) const;
    [[nodiscard]] studio::Studio studio() const;

    /// Prints an answer in the form asked for.
    template <typename ToJson, typename ToWords>
    int answer(const ToJson& toJson, const ToWords& toWords) const {
        print(json ? toJson() + "\n" : toWords());
        return kDone;
    }
};

}  // namespace greywright::cli
