#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "core/contract.h"

namespace greywright {

/// Whose trouble an error is; the command line turns it into its exit code.
enum class ErrorKind {
    wrongUse,     ///< the request itself: an unknown name, a setting off the step
    badInput,     ///< what was read: a file, a value, a book
    cannotWrite,  ///< the disc or the book would not take it
};

/// Where in the input something was found. Empty parts are unknown or do not apply.
struct Place {
    std::string path = {};   ///< file as the user named it
    std::size_t line = 0;    ///< 1-based; 0 = no line
    std::string field = {};  ///< column, element or keyword

    /// "file:line: field" with the unknown parts left out.
    [[nodiscard]] std::string text() const;
};

/// Something in the world is wrong. `code` is stable and may be tested for; the texts are for people.
struct Error {
    ErrorKind kind = ErrorKind::badInput;
    std::string code = {};  ///< stable, lower case with hyphens, e.g. "row-too-short"
    std::string what = {};  ///< what happened, one sentence without a full stop
    Place where = {};
    std::string next = {};  ///< what to do about it, one sentence

    /// "file:line: field: what. next" as shown to a person.
    [[nodiscard]] std::string text() const;
};

/// Read, but doubtful: what was decided and why. `code` is stable.
struct Note {
    std::string code = {};
    std::string text = {};
    Place where = {};
};

/// A value or an Error; mirrors std::expected, which g++ 12 does not have in C++20.
/// Asking a failed result for its value is a contract violation.
template <typename T>
class [[nodiscard]] Result {
  public:
    // NOLINTNEXTLINE(google-explicit-constructor): a function returns either, unadorned
    Result(T value) : content_(std::in_place_index<0>, std::move(value)) {}
    // NOLINTNEXTLINE(google-explicit-constructor)
    Result(Error error) : content_(std::in_place_index<1>, std::move(error)) {}

    [[nodiscard]] bool has_value() const noexcept { return content_.index() == 0; }
    explicit operator bool() const noexcept { return has_value(); }

    [[nodiscard]] T& value() & {
        expects(has_value(), "value() of a failed Result");
        return std::get<0>(content_);
    }
    [[nodiscard]] const T& value() const& {
        expects(has_value(), "value() of a failed Result");
        return std::get<0>(content_);
    }
    [[nodiscard]] T&& value() && {
        expects(has_value(), "value() of a failed Result");
        return std::get<0>(std::move(content_));
    }
    [[nodiscard]] const Error& error() const& {
        expects(!has_value(), "error() of a successful Result");
        return std::get<1>(content_);
    }
    [[nodiscard]] Error&& error() && {
        expects(!has_value(), "error() of a successful Result");
        return std::get<1>(std::move(content_));
    }

    T& operator*() & { return value(); }
    const T& operator*() const& { return value(); }
    T&& operator*() && { return std::move(*this).value(); }
    T* operator->() { return &value(); }
    const T* operator->() const { return &value(); }

  private:
    std::variant<T, Error> content_;
};

/// Success without a value.
struct Done {};

/// What a function returns that may fail but has nothing to hand back.
using Outcome = Result<Done>;

}  // namespace greywright
