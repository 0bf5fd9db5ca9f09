#include "measure/read.h"

#include <cmath>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "colour/colorimeter.h"
#include "core/files.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::measure {
namespace {

using testing::succeeded;

const colour::WavelengthGrid kGrid{380, 10, 36};

/// A warm dye black at some strength: strongly sloped, so that lights and observers matter.
std::vector<double> dye(double strength) {
    std::vector<double> reflectance;
    for (std::size_t i = 0; i < kGrid.count; ++i) {
        const double nm = kGrid.atNm(i);
        const double density = strength * (1 + 0.5 * std::sin(nm / 45) - 0.0008 * (nm - 550));
        reflectance.push_back(0.88 * std::pow(10, -density));
    }
    return reflectance;
}

/// A file with spectra and the CIELAB that some light and observer give them.
std::string fileWithOwnLab(const char* light, colour::ObserverName observer, double labFactor = 1,
                           double spectralFactor = 1, const std::string& header = "") {
    const colour::Colorimeter colorimeter(colour::observer(observer), colour::lightByName(light).value(),
                                          kGrid);
    std::string columns = "SAMPLE_ID";
    for (std::size_t i = 0; i < kGrid.count; ++i) columns += fmt::format(" SPECTRAL_NM{}", kGrid.atNm(i));
    std::string out = "CGATS.17\n" + header + "BEGIN_DATA_FORMAT\n" + columns +
                      " LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n";
    for (int row = 0; row < 8; ++row) {
        const auto reflectance = dye(0.15 * row);
        const colour::Lab lab = colorimeter.labFromReflectance(reflectance);
        out += fmt::format("{}", row);
        for (const double value : reflectance) out += fmt::format(" {:.6f}", value * spectralFactor);
        out +=
            fmt::format(" {:.2f} {:.2f} {:.2f}\n", lab.L * labFactor, lab.a * labFactor, lab.b * labFactor);
    }
    return out + "END_DATA\n";
}

const Note* noteOf(const Reading& reading, const char* code) {
    for (const Note& note : reading.notes) {
        if (note.code == code) return &note;
    }
    return nullptr;
}

TEST(Read, OwnLabThatAgreesIsNotSpokenOf) {
    const auto reading = readingFromBytes(fileWithOwnLab("D50", colour::ObserverName::cie1931), "x.txt");
    ASSERT_TRUE(succeeded(reading));
    EXPECT_EQ(noteOf(*reading, "lab-disagrees"), nullptr);
}

struct Disagreement {
    const char* light;
    colour::ObserverName observer;
    double labFactor;
    const char* words;
};

TEST(Read, OwnLabThatDisagreesIsExplained) {
    using enum colour::ObserverName;
    for (const Disagreement& each : {Disagreement{"D50", cie1964, 1, "10 degree observer under D50"},
                                     {"D65", cie1931, 1, "D65 and 2 degrees"},
                                     {"D65", cie1964, 1, "D65 and 10 degrees"},
                                     {"A", cie1931, 1, "illuminant A"},
                                     {"D50", cie1931, 100, "decimal marks"},
                                     {"D50", cie1931, 0.5, "no known cause"}}) {
        const auto reading =
            readingFromBytes(fileWithOwnLab(each.light, each.observer, each.labFactor), "x.txt");
        ASSERT_TRUE(succeeded(reading));
        const Note* note = noteOf(*reading, "lab-disagrees");
        ASSERT_NE(note, nullptr) << each.words;
        EXPECT_NE(note->text.find(each.words), std::string::npos) << note->text;
        // The spectra win: the first patch is the bare, brightest one whatever the file's CIELAB says.
        const auto honest = readingFromBytes(fileWithOwnLab("D50", cie1931), "x.txt");
        EXPECT_EQ(reading->patches[5].lab->b, honest->patches[5].lab->b);
    }
}

TEST(Read, ADeclaredOtherWhiteIsRecomputed) {
    const auto reading =
        readingFromBytes(fileWithOwnLab("D50", colour::ObserverName::cie1964, 1, 1,
                                        "ILLUMINATION_NAME \"D50\"\nOBSERVER_ANGLE \"10\"\n"),
                         "x.txt");
    ASSERT_TRUE(succeeded(reading));
    ASSERT_NE(noteOf(*reading, "lab-recomputed"), nullptr);
    EXPECT_NE(noteOf(*reading, "lab-recomputed")->text.find("D50, 10 degrees"), std::string::npos);
}

TEST(Read, ScaleMakesNoDifference) {
    const auto fraction = readingFromBytes(fileWithOwnLab("D50", colour::ObserverName::cie1931), "x.txt");
    const auto percent =
        readingFromBytes(fileWithOwnLab("D50", colour::ObserverName::cie1931, 1, 100), "x.txt");
    ASSERT_TRUE(succeeded(fraction));
    ASSERT_TRUE(succeeded(percent));
    EXPECT_EQ(percent->grid, fraction->grid);
    for (std::size_t i = 0; i < fraction->patches.size(); ++i) {
        EXPECT_TRUE(
            testing::allNear(percent->patches[i].reflectance, fraction->patches[i].reflectance, 1e-6));
    }
}

TEST(Read, TheNameOfTheFileDoesNotMatter) {
    const testing::TemporaryFolder folder;
    const std::string text = "NAME,L,a,b\np,50,1,-1\n";
    ASSERT_TRUE(succeeded(writeWholeFile(folder / "x.cxf", text)));
    const auto reading = readingFromFile(folder / "x.cxf");
    ASSERT_TRUE(succeeded(reading));
    EXPECT_EQ(reading->format, "CSV");
    EXPECT_EQ(reading->path, (folder / "x.cxf").string());
    EXPECT_EQ(reading->patches[0].line, 2U);
    EXPECT_EQ(readingFromFile(folder / "missing.txt").error().code, "file-not-found");
}

TEST(Read, OfSeveralConditionsThePreferredOneIsRead) {
    const auto path =
        std::filesystem::path(GREYWRIGHT_SOURCE_DIR) / "tests/malformed/tolerated/cxf_three_groups.cxf";
    const auto m2 = readingFromFile(path, Condition::m2);
    ASSERT_TRUE(succeeded(m2));
    EXPECT_EQ(m2->condition, Condition::m2);
    EXPECT_DOUBLE_EQ(m2->patches[0].reflectance[0], 0.7);
    // Sent and measured values stand in different objects, in another order.
    EXPECT_EQ(m2->patches[0].device, (std::vector<double>{255, 255, 255}));
    EXPECT_EQ(m2->patches[1].device, (std::vector<double>{0, 0, 0}));
    EXPECT_EQ(readingFromFile(path, Condition::m3)->condition, Condition::m0);
}

}  // namespace
}  // namespace greywright::measure
