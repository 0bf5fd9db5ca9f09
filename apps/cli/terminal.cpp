#include "terminal.h"

#include <cstdio>

#include "core/platform.h"
#include "studio/json.h"

namespace greywright::cli {

void print(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stdout);
}

void tell(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
}

int Terminal::fail(const Error& error) const {
    tell("greywright: " + error.text() + "\n");
    if (json) print(studio::jsonFromError(error) + "\n");
    return exitOf(error.kind);
}

int exitOf(ErrorKind kind) {
    switch (kind) {
        case ErrorKind::wrongUse:
            return kWrongUse;
        case ErrorKind::badInput:
            return kBadInput;
        case ErrorKind::cannotWrite:
            return kCannotWrite;
    }
    return kBadInput;
}

int Terminal::done(std::string_view what) const {
    print(json ? "{\"done\": true}\n" : fmt::format("{}\n", what));
    return kDone;
}

int Terminal::write(const std::string& path, const std::string& bytes) const {
    const Outcome written = studio().write(path, bytes, true);
    if (!written) return fail(written.error());
    return done(fmt::format("Wrote {}", path));
}

studio::Studio Terminal::studio() const {
    if (!book.empty()) return studio::Studio(book);
    if (const auto named = platform::environment("GREYWRIGHT_BOOK")) return studio::Studio(*named);
    return studio::Studio(platform::userDataFolder() / "greywright" / "studio.book");
}

}  // namespace greywright::cli
