// What a second reader, a general colour engine that is not lcms2, makes of the same bytes.

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <map>
#include <utility>

#include <gtest/gtest.h>

#include "colour/difference.h"
#include "colour/reference_rows.h"
#include "core/files.h"
#include "profile/read_back.h"
#include "profile/sample.h"
#include "testing/near.h"

namespace greywright::profile {
namespace {

using ::greywright::testing::succeeded;

std::uint32_t checksum(std::string_view bytes) {
    std::uint32_t sum = 2166136261U;  // FNV-1a
    for (const char byte : bytes) sum = (sum ^ static_cast<unsigned char>(byte)) * 16777619U;
    return sum;
}

Result<std::string> profileOf(int kind, int version) {
    const Version v = version == 2 ? Version::v2 : Version::v4;
    if (kind == 0) return greyProfile(sampleResponse(), sampleDescription(), v);
    if (kind == 1) return rgbProfile(sampleResponse(), sampleTable(), sampleDescription(), v);
    return deviceLink(sampleTable(), sampleDescription(), v);
}

Intent intentOf(double number) {
    if (number == 0) return Intent::perceptual;
    return number == 1 ? Intent::relative : Intent::absolute;
}

using Profiles = std::map<std::pair<int, int>, std::string>;

Profiles allProfiles() {
    Profiles out;
    for (const int kind : {0, 1, 2}) {
        for (const int version : {2, 4}) {
            auto bytes = profileOf(kind, version);
            EXPECT_TRUE(succeeded(bytes));
            if (bytes) out[{kind, version}] = *std::move(bytes);
        }
    }
    return out;
}

// Source of the rows: tests/reference/profiles.csv, made by tools/reference/profiles.mjs, which tells how.
// When the checksums differ, the profiles changed and the rows are to be made anew.
TEST(Readers, AgreeWithinATenthOfAUnit) {
    const Profiles profiles = allProfiles();
    ASSERT_EQ(profiles.size(), 6U);
    if (const char* folder = std::getenv("GREYWRIGHT_PROFILE_FOLDER")) {
        const std::map<int, std::string> names{{0, "grey"}, {1, "rgb"}, {2, "link"}};
        for (const auto& [which, bytes] : profiles) {
            const auto file = names.at(which.first) + std::to_string(which.second) + ".icc";
            ASSERT_TRUE(succeeded(writeWholeFile(std::filesystem::path(folder) / file, bytes)));
        }
    }
    const auto rows = colour::referenceRows("profiles.csv");
    ASSERT_EQ(rows.size(), 564U);
    double worstLab = 0;
    double worstDevice = 0;
    for (const auto& row : rows) {
        const auto& bytes = profiles.at({static_cast<int>(row[0]), static_cast<int>(row[1])});
        ASSERT_EQ(checksum(bytes), static_cast<std::uint32_t>(row[2])) << "the rows are of another profile";
        const std::array<double, 3> in{row[5], row[6], row[7]};
        const std::size_t channels = row[0] == 1 ? 3 : 1;
        if (row[0] == 2) {
            const auto codes = codesThrough(bytes, std::span(in).first(1));
            ASSERT_TRUE(succeeded(codes));
            for (std::size_t c = 0; c < 3; ++c) {
                worstDevice = std::max(worstDevice, std::abs((*codes)[0][c] / 65535 - row[8 + c]));
            }
        } else if (row[4] == 0) {
            const auto lab = readBack(bytes, std::span(in).first(channels), intentOf(row[3]));
            ASSERT_TRUE(succeeded(lab));
            const colour::Lab theirs{row[8], row[9], row[10]};
            worstLab = std::max(worstLab, colour::deltaE76((*lab)[0], theirs));
        } else {
            const colour::Lab lab{in[0], in[1], in[2]};
            const auto device = deviceOf(bytes, std::span(&lab, 1), intentOf(row[3]));
            ASSERT_TRUE(succeeded(device));
            for (std::size_t c = 0; c < channels; ++c) {
                worstDevice = std::max(worstDevice, std::abs((*device)[c] - row[8 + c]));
            }
        }
    }
    // Tables hold L* in steps of 0.0015, tint in steps of 0.004 and device values in steps of 1/65535; both
    // readers may round at every stage.
    EXPECT_LE(worstLab, 0.01);
    EXPECT_LE(worstDevice, 2.0 / 65535);
}

TEST(Readers, SecondReaderFindsWhatWasMeasured) {
    const std::vector<MeasuredTone> measured = sampleResponse();
    int compared = 0;
    for (const auto& row : colour::referenceRows("profiles.csv")) {
        if (row[0] != 0 || row[3] != 3 || row[4] != 0) continue;
        const auto step = static_cast<std::size_t>(std::lround(20 * (1 - row[5])));
        EXPECT_LE(colour::deltaE76({row[8], row[9], row[10]}, measured[step].lab), 0.01) << row[5];
        ++compared;
    }
    EXPECT_EQ(compared, 42);
}

}  // namespace
}  // namespace greywright::profile
