// Files that must be refused: expected.tsv names for each the code, the line and a part of the text.

#include <set>

#include <gtest/gtest.h>

#include "manifest.h"
#include "measure/read.h"

namespace greywright {
namespace {

struct MalformedCase {
    std::string file;
    std::string code;
    std::size_t line = 0;
    std::string fragment;
};

void PrintTo(const MalformedCase& malformed, std::ostream* out) {
    *out << malformed.file;
}

std::vector<MalformedCase> malformedCases() {
    std::vector<MalformedCase> cases;
    for (const auto& row : testing::manifest("expected.tsv", 4)) {
        cases.push_back({row[0], row[1], std::stoul(row[2]), row[3]});
    }
    return cases;
}

class Malformed : public ::testing::TestWithParam<MalformedCase> {};

TEST_P(Malformed, IsRefusedWithItsCodeAndPlace) {
    const MalformedCase& expected = GetParam();
    const auto path = testing::casesFolder() / "files" / expected.file;
    const auto reading = measure::readingFromFile(path);
    ASSERT_FALSE(reading) << "was read as " << reading->format;
    const Error& error = reading.error();
    EXPECT_EQ(error.code, expected.code) << error.text();
    EXPECT_EQ(error.where.line, expected.line) << error.text();
    EXPECT_EQ(error.where.path, path.string());
    EXPECT_EQ(error.kind, ErrorKind::badInput);
    EXPECT_NE(error.text().find(expected.fragment), std::string::npos) << error.text();
    EXPECT_FALSE(error.next.empty());
}

std::string caseName(const ::testing::TestParamInfo<MalformedCase>& info) {
    std::string name = info.param.file;
    for (char& c : name) c = c == '.' ? '_' : c;
    return name;
}

INSTANTIATE_TEST_SUITE_P(Files, Malformed, ::testing::ValuesIn(malformedCases()), caseName);

TEST(MalformedFiles, EveryFileIsInTheManifest) {
    std::set<std::string> listed;
    for (const MalformedCase& each : malformedCases()) listed.insert(each.file);
    EXPECT_GE(listed.size(), 150U);
    for (const auto& entry : std::filesystem::directory_iterator(testing::casesFolder() / "files")) {
        EXPECT_TRUE(listed.contains(entry.path().filename().string())) << entry.path();
    }
}

}  // namespace
}  // namespace greywright
