#pragma once

#include <exception>
#include <filesystem>
#include <functional>
#include <optional>

#include "core/result.h"
#include "core/said.h"

/// Telling the caller how far the work is, from inside a library of C; for this module's sources only.
namespace greywright::picture {

class Progress {
  public:
    explicit Progress(const std::function<bool(double)>& goOn) : goOn_(goOn) {}

    /// False when the work is to stop: the caller said so, or threw.
    [[nodiscard]] bool goesOn(double share) noexcept {
        try {
            stopped_ = stopped_ || (goOn_ && !goOn_(share));
        } catch (...) {
            stopped_ = true;
            thrown_ = std::current_exception();
        }
        return !stopped_;
    }

    /// Throws what the caller threw. The error "stopped" when the work was stopped, else nothing.
    [[nodiscard]] std::optional<Error> whyStopped(const std::filesystem::path& path) const {
        if (thrown_) std::rethrow_exception(thrown_);
        if (!stopped_) return std::nullopt;
        return Error{.code = "stopped",
                     .what = said("the work was stopped before the whole picture was done"),
                     .where = {.path = path.string()},
                     .next = {}};
    }

  private:
    const std::function<bool(double)>& goOn_;
    bool stopped_ = false;
    std::exception_ptr thrown_ = {};
};

}  // namespace greywright::picture
