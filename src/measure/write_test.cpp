#include "measure/write.h"

#include <cmath>

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "measure/read.h"
#include "testing/near.h"

namespace greywright::measure {
namespace {

using testing::succeeded;

void expectSame(const Reading& one, const Reading& other) {
    ASSERT_EQ(one.patches.size(), other.patches.size());
    EXPECT_EQ(one.grid, other.grid);
    EXPECT_EQ(one.condition, other.condition);
    EXPECT_EQ(one.instrument, other.instrument);
    EXPECT_EQ(one.created, other.created);
    EXPECT_EQ(one.deviceColumns, other.deviceColumns);
    for (std::size_t i = 0; i < one.patches.size(); ++i) {
        EXPECT_EQ(one.patches[i].name, other.patches[i].name);
        EXPECT_EQ(one.patches[i].tonePercent, other.patches[i].tonePercent);
        EXPECT_EQ(one.patches[i].device, other.patches[i].device);
        EXPECT_EQ(one.patches[i].reflectance, other.patches[i].reflectance);
        ASSERT_TRUE(other.patches[i].lab);
        if (!one.patches[i].lab) continue;
        EXPECT_NEAR(one.patches[i].lab->L, other.patches[i].lab->L, 1e-9);
        EXPECT_NEAR(one.patches[i].lab->a, other.patches[i].lab->a, 1e-9);
        EXPECT_NEAR(one.patches[i].lab->b, other.patches[i].lab->b, 1e-9);
    }
}

TEST(Write, EverythingComesBack) {
    Reading reading{.grid = colour::WavelengthGrid{380, 10, 36},
                    .condition = Condition::m2,
                    .deviceColumns = {"RGB_R", "RGB_G", "RGB_B"},
                    .instrument = "a \"spectral\" reader",
                    .created = "2031-04-05 # not a comment"};
    for (int i = 0; i < 3; ++i) {
        reading.patches.push_back({.name = i == 0 ? "END_DATA" : "with blanks, and \"quotes\"",
                                   .tonePercent = 50.0 * i,
                                   .reflectance = std::vector<double>(36, 0.9 / (1 + i)),
                                   .device = {255.0 - 100 * i, 255.0 - 100 * i, 255.0 - 100 * i}});
    }
    const auto back = readingFromBytes(cgatsFromReading(reading), "written.txt");
    ASSERT_TRUE(succeeded(back));
    expectSame(reading, *back);
    EXPECT_EQ(back->format, "CGATS");
    EXPECT_TRUE(back->notes.empty()) << back->notes[0].text;
}

TEST(Write, AnUnknownConditionStaysUnknown) {
    Reading reading{.patches = {{.name = "1", .lab = colour::Lab{50, 1, -1}}}};
    const auto back = readingFromBytes(cgatsFromReading(reading), "written.txt");
    ASSERT_TRUE(succeeded(back));
    expectSame(reading, *back);
    ASSERT_EQ(back->notes.size(), 1U);
    EXPECT_EQ(back->notes[0].code, "condition-not-stated");
}

TEST(Write, LineBreaksInNamesDoNoHarm) {
    Reading reading{.patches = {{.name = "a\nEND_DATA\nb", .lab = colour::Lab{50, 1, -1}}}};
    const auto back = readingFromBytes(cgatsFromReading(reading), "written.txt");
    ASSERT_TRUE(succeeded(back));
    EXPECT_EQ(back->patches[0].name, "a END_DATA b");
}

TEST(Write, APatchWithoutColourIsAProgrammersMistake) {
    Reading reading{.patches = {{.name = "1"}}};
    EXPECT_THROW((void)cgatsFromReading(reading), ContractViolation);
}

/// A number as instruments and people write it: any double in the range.
rc::Gen<double> numberBetween(double least, double most) {
    return rc::gen::map(rc::gen::inRange<std::int64_t>(0, std::int64_t{1} << 53), [=](std::int64_t n) {
        return least + (most - least) * (static_cast<double>(n) / 9007199254740992.0);
    });
}

rc::Gen<std::string> name() {
    const auto character = rc::gen::elementOf(std::string("abcXYZ019 \"'#,;\t=<>_-.%"));
    return rc::gen::map(rc::gen::container<std::string>(character), [](const std::string& text) {
        return "n" + text + "n";  // the ends are trimmed on reading
    });
}

std::string withoutTabs(std::string text) {
    for (char& c : text) c = c == '\t' ? ' ' : c;
    return text;
}

TEST(Write, AnyReadingComesBack) {
    EXPECT_TRUE(rc::check("a reading survives being written and read", [] {
        Reading reading;
        const bool spectral = *rc::gen::arbitrary<bool>();
        const bool toned = *rc::gen::arbitrary<bool>();
        if (spectral) {
            const auto step = *rc::gen::elementOf(std::vector<double>{1, 2, 5, 10, 20});
            reading.grid = colour::WavelengthGrid{380, step, static_cast<std::size_t>(350 / step) + 1};
        }
        if (*rc::gen::arbitrary<bool>()) reading.deviceColumns = {"K"};
        reading.condition = *rc::gen::elementOf(std::vector<Condition>{
            Condition::unknown, Condition::m0, Condition::m1, Condition::m2, Condition::m3});
        const int count = *rc::gen::inRange(1, 6);
        for (int i = 0; i < count; ++i) {
            Patch patch{.name = withoutTabs(*name())};
            if (toned) patch.tonePercent = *numberBetween(0, 100);
            if (!reading.deviceColumns.empty()) patch.device = {*numberBetween(0, 255)};
            if (spectral) {
                for (std::size_t k = 0; k < reading.grid->count; ++k) {
                    patch.reflectance.push_back(*numberBetween(-0.05, 1.5));
                }
            } else {
                patch.lab =
                    colour::Lab{*numberBetween(0, 100), *numberBetween(-100, 100), *numberBetween(-100, 100)};
            }
            reading.patches.push_back(std::move(patch));
        }
        const auto back = readingFromBytes(cgatsFromReading(reading), "written.txt");
        RC_ASSERT(back.has_value());
        RC_ASSERT(back->grid == reading.grid);
        RC_ASSERT(back->condition == reading.condition);
        RC_ASSERT(back->patches.size() == reading.patches.size());
        for (std::size_t i = 0; i < reading.patches.size(); ++i) {
            RC_ASSERT(back->patches[i].name == reading.patches[i].name);
            RC_ASSERT(back->patches[i].tonePercent == reading.patches[i].tonePercent);
            RC_ASSERT(back->patches[i].device == reading.patches[i].device);
            RC_ASSERT(back->patches[i].reflectance == reading.patches[i].reflectance);
            if (spectral) continue;
            RC_ASSERT(back->patches[i].lab->L == reading.patches[i].lab->L);
            RC_ASSERT(back->patches[i].lab->a == reading.patches[i].lab->a);
            RC_ASSERT(back->patches[i].lab->b == reading.patches[i].lab->b);
        }
    }));
}

}  // namespace
}  // namespace greywright::measure
