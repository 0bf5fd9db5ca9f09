// Sheets, scanners and cameras: what the book keeps of them, and what it refuses.

#include <limits>

#include <gtest/gtest.h>

#include "book/book.h"
#include "book/rules.h"
#include "book/sample.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

class Sheets : public ::testing::Test {
  protected:
    TemporaryFolder folder_;
    std::filesystem::path path_ = folder_ / "studio.book";
    Book book_ = Book::open(path_, OpenMode::readWrite).value();
};

TEST_F(Sheets, AreFoundByCodeAndByNameWhateverTheCase) {
    const SheetRecord first = sample::sheet("K7Q2XM", "First ramp");
    SheetRecord second = sample::sheet("AB23CD", "first RAMP");
    second.when = sample::kLater;
    ASSERT_TRUE(succeeded(book_.addSheet(second)));
    ASSERT_TRUE(succeeded(book_.addSheet(first)));
    EXPECT_EQ(book_.sheetsNamed("k7q2xm").value(), std::vector{first});
    EXPECT_EQ(book_.sheetsNamed("FIRST ramp").value(), (std::vector{second, first})) << "the last made first";
    EXPECT_EQ(book_.sheets().value(), (std::vector{second, first}));
}

TEST_F(Sheets, ACodeGoesBeforeAName) {
    SheetRecord named = sample::sheet("AB23CD", "K7Q2XM");
    named.when = sample::kLater;
    ASSERT_TRUE(succeeded(book_.addSheet(sample::sheet("K7Q2XM"))));
    ASSERT_TRUE(succeeded(book_.addSheet(named)));
    EXPECT_EQ(book_.sheetsNamed("K7Q2XM").value().at(0).code, "K7Q2XM");
    EXPECT_EQ(book_.sheetsNamed("K7Q2XM").value().size(), 1U);
}

TEST_F(Sheets, TheSameDesignKeepsEachOfItsNames) {
    const SheetRecord first = sample::sheet("K7Q2XM", "First"), second = sample::sheet("K7Q2XM", "Second");
    SheetRecord again = sample::sheet("K7Q2XM", "first");
    again.setting = "across=3,up=0";
    again.when = sample::kLater;
    for (const SheetRecord& sheet : {first, second, again}) ASSERT_TRUE(succeeded(book_.addSheet(sheet)));
    const auto sheets = book_.sheets().value();
    ASSERT_EQ(sheets.size(), 2U);
    EXPECT_EQ(sheets[0].name, "First");
    EXPECT_EQ(sheets[0].setting, "across=3,up=0");
    EXPECT_EQ(sheets[0].when, sample::kLater);
    EXPECT_EQ(sheets[1], second);
}

TEST_F(Sheets, AnUnknownOneIsRefusedWithTheNearestName) {
    ASSERT_TRUE(succeeded(book_.addSheet(sample::sheet())));
    const auto found = book_.sheetsNamed("First ramb");
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error().code, "sheet-unknown");
    EXPECT_EQ(found.error().next, "Did you mean \"First ramp\"?");
}

TEST_F(Sheets, WhatMakesNoSenseIsRefused) {
    const auto codeAfter = [](auto spoil) {
        SheetRecord sheet = sample::sheet();
        spoil(sheet);
        const Outcome outcome = checkSheet(sheet);
        return outcome ? "none" : outcome.error().code + ' ' + outcome.error().where.field;
    };
    EXPECT_EQ(codeAfter([](auto&) {}), "none");
    EXPECT_EQ(codeAfter([](auto& s) { s.code = ""; }), "sheet-invalid code");
    EXPECT_EQ(codeAfter([](auto& s) { s.name = " "; }), "sheet-invalid name");
    EXPECT_EQ(codeAfter([](auto& s) { s.definition = ""; }), "sheet-invalid definition");
    EXPECT_EQ(codeAfter([](auto& s) { s.when = "today"; }), "time-invalid time");
    SheetRecord nameless = sample::sheet();
    nameless.name = "";
    EXPECT_FALSE(book_.addSheet(nameless));
    EXPECT_TRUE(book_.sheets().value().empty());
}

TEST_F(Sheets, ADeviceIsKnownPaperByPaper) {
    const DeviceRecord pearl = sample::device("Flatbed", "Pearl 300");
    const DeviceRecord rag = sample::device("flatbed", "Rag 310");
    DeviceRecord better = sample::device("FLATBED", "pearl 300");
    better.characterisation = "L 4 5 6";
    ASSERT_TRUE(succeeded(book_.keepDevice(pearl)));
    ASSERT_TRUE(succeeded(book_.keepDevice(rag)));
    ASSERT_TRUE(succeeded(book_.keepDevice(better)));
    const auto devices = book_.devices().value();
    ASSERT_EQ(devices.size(), 2U);
    EXPECT_EQ(devices[0].characterisation, "L 4 5 6");
    EXPECT_EQ(devices[0].paper, "Pearl 300");
    EXPECT_EQ(devices[1], rag);
    EXPECT_TRUE(succeeded(book_.removeDevice("Flatbed")));
    EXPECT_TRUE(book_.devices().value().empty());
    EXPECT_EQ(book_.removeDevice("Flatbed").error().code, "device-unknown");
    DeviceRecord nameless = sample::device("");
    EXPECT_EQ(book_.keepDevice(nameless).error().code, "device-invalid");
    EXPECT_EQ(checkDevice({.name = "Flatbed", .when = sample::kWhen}).error().where.field,
              "characterisation");
    EXPECT_EQ(checkDevice(sample::device()).has_value(), true);
}

TEST_F(Sheets, AReadingKeepsHowFarItMayBeOff) {
    ASSERT_TRUE(succeeded(book_.addCondition(sample::condition())));
    NewTrial trial = sample::trial(0, 0, "a scan");
    trial.reading->reading.uncertainty = UncertaintyRecord{2.5, 1.0 / 3};
    ASSERT_TRUE(succeeded(book_.addTrial("Pearl", trial)));
    ASSERT_TRUE(succeeded(book_.addTrial("Pearl", sample::trial(1, 0, "by instrument"))));
    const auto trials = book_.trials("Pearl").value();
    EXPECT_EQ(trials[0].readings[0].uncertainty, (UncertaintyRecord{2.5, 1.0 / 3}));
    EXPECT_FALSE(trials[1].readings[0].uncertainty);
    for (const UncertaintyRecord bad : {UncertaintyRecord{-1, 0}, UncertaintyRecord{0, -1},
                                        UncertaintyRecord{std::numeric_limits<double>::quiet_NaN(), 0}}) {
        trial.reading->reading.uncertainty = bad;
        EXPECT_EQ(checkReading(trial.reading->reading).error().where.field, "uncertainty");
    }
}

}  // namespace
}  // namespace greywright::book
