// Files that vary as files in the wild do and must be read: tolerated.tsv names for each what comes out of it
// and which notes it carries.

#include <gtest/gtest.h>

#include "core/numbers.h"
#include "manifest.h"
#include "measure/read.h"
#include "testing/near.h"

namespace greywright {
namespace {

struct ToleratedCase {
    std::string file;
    std::string format;
    std::size_t patches = 0;
    std::string condition;
    colour::Lab firstLab;
    std::string device;
    std::string firstName;
    std::string notes;
};

void PrintTo(const ToleratedCase& tolerated, std::ostream* out) {
    *out << tolerated.file;
}

std::vector<ToleratedCase> toleratedCases() {
    std::vector<ToleratedCase> cases;
    for (const auto& row : testing::manifest("tolerated.tsv", 10)) {
        const auto number = [&](std::size_t i) { return numberFromText(row[i]).value(); };
        cases.push_back({row[0],
                         row[1],
                         std::stoul(row[2]),
                         row[3],
                         {number(4), number(5), number(6)},
                         row[7],
                         row[8],
                         row[9]});
    }
    return cases;
}

class Tolerated : public ::testing::TestWithParam<ToleratedCase> {};

TEST_P(Tolerated, IsReadWithItsNotes) {
    const ToleratedCase& expected = GetParam();
    const auto reading = measure::readingFromFile(testing::casesFolder() / "tolerated" / expected.file);
    ASSERT_TRUE(testing::succeeded(reading));
    EXPECT_EQ(reading->format, expected.format);
    EXPECT_EQ(reading->patches.size(), expected.patches);
    EXPECT_EQ(measure::textFromCondition(reading->condition), expected.condition);
    const measure::Patch& first = reading->patches.front();
    ASSERT_TRUE(first.lab);
    // Flat spectra: L* = 116 cbrt(R) - 16 by definition; 0.05 covers one uneven band and rounded manifests.
    EXPECT_NEAR(first.lab->L, expected.firstLab.L, 0.05);
    EXPECT_NEAR(first.lab->a, expected.firstLab.a, 0.05);
    EXPECT_NEAR(first.lab->b, expected.firstLab.b, 0.05);
    EXPECT_EQ(first.name, expected.firstName);
    std::string device;
    for (const std::string& column : reading->deviceColumns) device += (device.empty() ? "" : " ") + column;
    EXPECT_EQ(device, expected.device);
    std::string notes;
    for (const Note& note : reading->notes) {
        notes += (notes.empty() ? "" : ",") + note.code;
        EXPECT_FALSE(note.text.empty());
    }
    EXPECT_EQ(notes, expected.notes);
}

std::string caseName(const ::testing::TestParamInfo<ToleratedCase>& info) {
    std::string name = info.param.file;
    for (char& c : name) c = c == '.' ? '_' : c;
    return name;
}

INSTANTIATE_TEST_SUITE_P(Files, Tolerated, ::testing::ValuesIn(toleratedCases()), caseName);

}  // namespace
}  // namespace greywright
