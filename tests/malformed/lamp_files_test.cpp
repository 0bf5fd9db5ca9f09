// Lamp files that must be refused, and lamp files that vary as files in the wild do and must be read. Their
// manifests are lamps/expected.tsv and lamps/tolerated.tsv.

#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "core/numbers.h"
#include "manifest.h"
#include "measure/lamp.h"
#include "measure/text.h"
#include "testing/near.h"

namespace greywright {
namespace {

std::string bytesOf(const std::filesystem::path& path) {
    return readWholeFile(path, measure::kMostBytes).value();
}

template <typename Case>
std::string caseName(const ::testing::TestParamInfo<Case>& info) {
    std::string name = info.param.file;
    for (char& c : name) c = c == '.' ? '_' : c;
    return name;
}

void expectAllListed(const char* folder, const std::set<std::string>& listed) {
    for (const auto& entry : std::filesystem::directory_iterator(testing::casesFolder() / "lamps" / folder)) {
        EXPECT_TRUE(listed.contains(entry.path().filename().string())) << entry.path();
    }
}

// --- refused ---

struct MalformedLamp {
    std::string file;
    std::string code;
    std::size_t line = 0;
    std::string fragment;
};

void PrintTo(const MalformedLamp& malformed, std::ostream* out) {
    *out << malformed.file;
}

std::vector<MalformedLamp> malformedLamps() {
    std::vector<MalformedLamp> cases;
    for (const auto& row : testing::manifest("lamps/expected.tsv", 4)) {
        cases.push_back({row[0], row[1], std::stoul(row[2]), row[3]});
    }
    return cases;
}

class MalformedLamps : public ::testing::TestWithParam<MalformedLamp> {};

TEST_P(MalformedLamps, IsRefusedWithItsCodeAndPlace) {
    const MalformedLamp& expected = GetParam();
    const auto path = testing::casesFolder() / "lamps" / "files" / expected.file;
    const auto lamp = measure::lampFromBytes(bytesOf(path), "some/lamp");
    ASSERT_FALSE(lamp) << "was read as " << lamp->format;
    const Error& error = lamp.error();
    EXPECT_EQ(error.code, expected.code) << error.text();
    EXPECT_EQ(error.where.line, expected.line) << error.text();
    EXPECT_EQ(error.where.path, "some/lamp");
    EXPECT_EQ(error.kind, ErrorKind::badInput);
    EXPECT_NE(error.text().find(expected.fragment), std::string::npos) << error.text();
    EXPECT_FALSE(error.next.empty());
}

INSTANTIATE_TEST_SUITE_P(Files, MalformedLamps, ::testing::ValuesIn(malformedLamps()),
                         caseName<MalformedLamp>);

TEST(MalformedLampFiles, EveryFileIsInTheManifest) {
    std::set<std::string> listed;
    for (const MalformedLamp& each : malformedLamps()) listed.insert(each.file);
    EXPECT_GE(listed.size(), 70U);
    expectAllListed("files", listed);
}

// --- read ---

struct ToleratedLamp {
    std::string file;
    std::string column;
    std::string format;
    std::string quantity;
    std::string name;
    std::string description;
    std::size_t points = 0;
    double firstNm = 0;
    double lastNm = 0;
    std::optional<double> ratio;  // power at 600 nm over that at 500 nm, where the file has both
    std::string notes;
};

void PrintTo(const ToleratedLamp& tolerated, std::ostream* out) {
    *out << tolerated.file;
}

std::vector<ToleratedLamp> toleratedLamps() {
    std::vector<ToleratedLamp> cases;
    for (const auto& row : testing::manifest("lamps/tolerated.tsv", 11)) {
        cases.push_back({row[0], row[1], row[2], row[3], row[4], row[5], std::stoul(row[6]),
                         numberFromText(row[7]).value(), numberFromText(row[8]).value(),
                         numberFromText(row[9]), row[10]});
    }
    return cases;
}

class ToleratedLamps : public ::testing::TestWithParam<ToleratedLamp> {};

TEST_P(ToleratedLamps, IsReadWithItsNotes) {
    const ToleratedLamp& expected = GetParam();
    measure::LampOptions options;
    if (!expected.column.empty()) options.column = expected.column;
    const auto path = testing::casesFolder() / "lamps" / "tolerated" / expected.file;
    const auto lamp = measure::lampFromBytes(bytesOf(path), "some/lamp", options);
    ASSERT_TRUE(testing::succeeded(lamp));
    EXPECT_EQ(lamp->format, expected.format);
    EXPECT_EQ(lamp->quantity, expected.quantity);
    EXPECT_EQ(lamp->name, expected.name);
    EXPECT_EQ(lamp->description, expected.description);
    ASSERT_EQ(lamp->power.size(), expected.points);
    ASSERT_EQ(lamp->wavelengthsNm.size(), expected.points);
    EXPECT_NEAR(lamp->wavelengthsNm.front(), expected.firstNm, 0.06);
    EXPECT_NEAR(lamp->wavelengthsNm.back(), expected.lastNm, 0.06);
    std::string notes;
    for (const Note& note : lamp->notes) {
        notes += (notes.empty() ? "" : ",") + note.code;
        EXPECT_FALSE(note.text.empty());
    }
    EXPECT_EQ(notes, expected.notes);

    const auto light = measure::lightFromLamp(*lamp, "hall");
    ASSERT_TRUE(testing::succeeded(light));
    if (!expected.ratio) return;
    // The manifest rounds to 0.001, the files to four places.
    EXPECT_NEAR(light->power.values[240] / light->power.values[140], *expected.ratio, 0.002);
}

INSTANTIATE_TEST_SUITE_P(Files, ToleratedLamps, ::testing::ValuesIn(toleratedLamps()),
                         caseName<ToleratedLamp>);

TEST(ToleratedLampFiles, EveryFileIsInTheManifest) {
    std::set<std::string> listed;
    for (const ToleratedLamp& each : toleratedLamps()) listed.insert(each.file);
    expectAllListed("tolerated", listed);
}

}  // namespace
}  // namespace greywright
