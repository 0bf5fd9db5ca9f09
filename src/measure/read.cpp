#include "measure/read.h"

#include <utility>

#include "core/files.h"
#include "measure/cgats.h"
#include "measure/cxf.h"
#include "measure/delimited.h"
#include "measure/text.h"

namespace greywright::measure {

Result<Reading> readingFromBytes(std::string_view bytes, std::string_view path, Condition preferred) {
    const Source source{std::string(path)};
    std::vector<Note> notes;
    const auto text = textFromBytes(bytes, source, notes);
    if (!text) return text.error();
    const std::size_t first = text->find_first_not_of(" \t\r\n");
    if (first != std::string::npos && (*text)[first] == '<') {
        return readingFromCxf(*text, source, std::move(notes), preferred);
    }
    if (looksLikeCgats(*text)) return readingFromCgats(*text, source, std::move(notes));
    return readingFromDelimited(*text, source, std::move(notes));
}

Result<Reading> readingFromFile(const std::filesystem::path& path, Condition preferred) {
    auto bytes = readWholeFile(path, kMostBytes);
    if (!bytes) return std::move(bytes).error();
    return readingFromBytes(*bytes, path.string(), preferred);
}

}  // namespace greywright::measure
