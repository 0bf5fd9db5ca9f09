#include "core/files.h"

#include <cerrno>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "core/platform.h"
#include "core/said.h"

namespace greywright {
namespace {

namespace fs = std::filesystem;

std::string systemWords(int error) {
    return std::generic_category().message(error);
}

}  // namespace

Error writeFailed(const fs::path& path, const std::string& why) {
    return {.kind = ErrorKind::cannotWrite,
            .code = "write-failed",
            .what = said("could not be written ({})", why),
            .where = {.path = path.string()},
            .next = said("Free some space or choose another folder; nothing was changed")};
}

Result<std::string> readWholeFile(const fs::path& path, std::size_t mostBytes) {
    const Place where{.path = path.string()};
    std::error_code problem;
    const fs::file_status status = fs::status(path, problem);
    if (!fs::exists(status)) {
        return Error{.code = "file-not-found",
                     .what = said("no such file"),
                     .where = where,
                     .next = said("Check the name")};
    }
    if (!fs::is_regular_file(status)) {
        return Error{.code = "file-not-regular",
                     .what = said("is a folder or a device, not a file"),
                     .where = where,
                     .next = said("Name the file itself")};
    }
    const auto size = fs::file_size(path, problem);
    if (!problem && size > mostBytes) {
        return Error{
            .code = "file-too-large",
            .what = said("has {} bytes, more than the {} that a file of this kind may have", size, mostBytes),
            .where = where,
            .next = said("Check that it is the file you meant")};
    }
    errno = 0;
    std::ifstream file(path, std::ios::binary);
    std::string bytes(problem ? 0 : static_cast<std::size_t>(size), '\0');
    if (file) {
        file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        bytes.resize(static_cast<std::size_t>(file.gcount()));
    }
    if (!file || problem) {
        return Error{.code = "file-unreadable",
                     .what = said("cannot be read ({})", systemWords(errno)),
                     .where = where,
                     .next = said("Check that you may read it")};
    }
    return bytes;
}

Outcome writeWholeFile(const fs::path& path, std::string_view bytes) {
    std::error_code problem;
    if (fs::is_directory(path, problem)) return writeFailed(path, "it is a folder");
    // A device or a pipe would become an ordinary file.
    if (fs::exists(path, problem) && !fs::is_regular_file(path, problem))
        return writeFailed(path, "it is no ordinary file");
    fs::path temporary = path;
    temporary += fmt::format(".{}.part", platform::processNumber());
    errno = 0;
    {
        std::ofstream file(temporary, std::ios::binary | std::ios::trunc);
        file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        file.close();
        if (!file || !platform::flushToDisc(temporary)) {
            const std::string why = systemWords(errno);
            fs::remove(temporary, problem);
            return writeFailed(path, why);
        }
    }
    fs::rename(temporary, path, problem);
    if (problem) {
        const std::string why = problem.message();
        fs::remove(temporary, problem);
        return writeFailed(path, why);
    }
    return Done{};
}

}  // namespace greywright
