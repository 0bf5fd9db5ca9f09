#include <cstddef>
#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

#include "invariants.h"
#include "measure/delimited.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace greywright;
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    const measure::Source source{"fuzz"};
    std::vector<Note> notes;
    const auto text = measure::textFromBytes(bytes, source, notes);
    if (!text) {
        fuzz::checkRefusal(text.error());
        return 0;
    }
    fuzz::checkReading(measure::readingFromDelimited(*text, source, std::move(notes)));
    return 0;
}
