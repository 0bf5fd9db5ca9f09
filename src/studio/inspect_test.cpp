#include "studio/inspect.h"

#include <algorithm>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "book/migrations.h"
#include "studio/convert.h"
#include "studio/sample_book.h"

namespace greywright::studio {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

std::vector<std::string> codesOf(const std::vector<Doubt>& doubts) {
    std::vector<std::string> codes;
    for (const Doubt& doubt : doubts) codes.push_back(doubt.code);
    return codes;
}

/// The same sheet on a yellower paper; known by CIELAB alone.
measure::Reading onCream(measure::Reading reading) {
    for (measure::Patch& patch : reading.patches) {
        patch.reflectance.clear();
        patch.lab->b += 6 * (1 - *patch.tonePercent / 100);
    }
    reading.grid.reset();
    return reading;
}

class Inspect : public ::testing::Test {
  protected:
    /// Looks at a file, and expects that the book stays as it was.
    [[nodiscard]] Result<Inspected> look(const ReadRequest& request) const {
        const std::string before = book_.bytes();
        auto inspected = book_.studio.inspect(request);
        EXPECT_EQ(book_.bytes(), before) << "a look changed the book";
        return inspected;
    }

    /// Expects just these doubts, each with its question; that read() ends with the first of them that is a
    /// refusal; and that force takes the file.
    void expectDoubts(ReadRequest request, const std::vector<std::string>& codes) {
        const auto inspected = look(request);
        ASSERT_TRUE(succeeded(inspected));
        EXPECT_EQ(codesOf(inspected->doubts), codes);
        for (const Doubt& doubt : inspected->doubts) {
            EXPECT_THAT(doubt.question, ::testing::EndsWith("?")) << doubt.code;
            EXPECT_THAT(doubt.detail, ::testing::Not(IsEmpty())) << doubt.code;
        }
        const auto refusal = std::ranges::find_if(inspected->doubts, &Doubt::needsForce);
        const std::string before = book_.bytes();
        if (refusal != inspected->doubts.end()) {
            const auto refused = book_.studio.read(request);
            ASSERT_FALSE(refused);
            EXPECT_EQ(refused.error().code, refusal->code);
            EXPECT_EQ(book_.bytes(), before);
            request.force = true;
        }
        const auto read = book_.studio.read(request);
        ASSERT_TRUE(succeeded(read));
        EXPECT_EQ(read->patches, inspected->summary.patches);
        EXPECT_EQ(read->setting, inspected->summary.setting);
    }

    void expectNoDoubt(const ReadRequest& request) { expectDoubts(request, {}); }

    /// Expects that look and reading refuse it alike, forced or not.
    void expectRefusedAlike(ReadRequest request, const std::string& code) {
        for (const bool force : {false, true}) {
            request.force = force;
            const auto inspected = look(request);
            ASSERT_FALSE(inspected) << code;
            EXPECT_EQ(inspected.error().code, code);
            const std::string before = book_.bytes();
            const auto read = book_.studio.read(request);
            ASSERT_FALSE(read) << code;
            EXPECT_EQ(read.error().code, code);
            EXPECT_EQ(read.error().text(), inspected.error().text());
            EXPECT_EQ(book_.bytes(), before);
        }
    }

    sample::SampleBook book_;
};

TEST_F(Inspect, SaysWhatReadingWouldSay) {
    ReadRequest request = book_.request(book_.write(book_.print()));
    request.setting.clear();
    const auto inspected = look(request);
    ASSERT_TRUE(succeeded(inspected));
    EXPECT_EQ(book_.trials(), 0U);
    EXPECT_THAT(inspected->doubts, IsEmpty());
    EXPECT_EQ(inspected->summary.trial, 0);
    ASSERT_EQ(inspected->ramp.patches.size(), 21U);
    EXPECT_EQ(inspected->ramp.patches.front().tonePercent, 0);
    EXPECT_TRUE(inspected->ramp.grid);
    const auto read = book_.studio.read(request);
    ASSERT_TRUE(succeeded(read));
    EXPECT_EQ(inspected->summary.patches, read->patches);
    EXPECT_EQ(inspected->summary.colours, read->colours);
    EXPECT_EQ(inspected->summary.spectral, read->spectral);
    EXPECT_EQ(inspected->summary.conditionM, "M1");
    EXPECT_EQ(inspected->summary.setting, read->setting);
    ASSERT_EQ(inspected->summary.notes.size(), read->notes.size());
    for (std::size_t i = 0; i < read->notes.size(); ++i)
        EXPECT_EQ(inspected->summary.notes[i].code, read->notes[i].code);
    EXPECT_EQ(read->notes.back().code, "setting-taken-as-zero");
}

TEST_F(Inspect, AnotherSheetOfTheSamePaperRaisesNothing) {
    book_.take();
    expectNoDoubt(book_.request(book_.write(book_.print({5, 5})), {5, 5}));
    EXPECT_EQ(book_.trials(), 2U);
}

TEST_F(Inspect, AnotherPaperIsAskedAboutUntilItIsKnown) {
    const measure::Reading cream = onCream(book_.print({5, 5}));
    expectNoDoubt(book_.request(book_.write(onCream(book_.print()))));  // the first paper is no other
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 1, "of another paper", sample::kWhen)));
    book_.take();
    const auto file = book_.write(cream);
    const auto inspected = look(book_.request(file, {5, 5}));
    ASSERT_TRUE(succeeded(inspected));
    ASSERT_EQ(inspected->doubts.size(), 1U);
    EXPECT_EQ(inspected->doubts[0].question, "Is it the same paper all the same?");
    EXPECT_THAT(inspected->doubts[0].detail, HasSubstr("trial 2 of 'chalk'"));
    expectDoubts(book_.request(file, {5, 5}), {"other-paper"});
    expectNoDoubt(book_.request(book_.write(onCream(book_.print({7, 7}))), {7, 7}));
}

TEST_F(Inspect, TheSameFileIsAskedAboutOnce) {
    const auto file = book_.write(book_.print());
    expectNoDoubt(book_.request(file));
    const auto inspected = look(book_.request(file, {5, 5}));
    ASSERT_TRUE(succeeded(inspected));
    ASSERT_EQ(inspected->doubts.size(), 1U);
    EXPECT_THAT(inspected->doubts[0].detail, HasSubstr("trial 1"));
    expectDoubts(book_.request(file, {5, 5}), {"reading-twice"});
    // Two trials hold it now, and it is one question all the same; none once neither of them counts.
    EXPECT_EQ(codesOf(look(book_.request(file))->doubts), std::vector<std::string>{"reading-twice"});
    for (const int trial : {1, 2})
        ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", trial, "typed wrongly", sample::kWhen)));
    expectNoDoubt(book_.request(file));
}

TEST_F(Inspect, TheSameFiguresInAnotherFileAreAskedAbout) {
    expectNoDoubt(book_.request(book_.write(book_.print())));
    const auto exported = book_.studio.cgatsOfTrial("chalk", 1);
    ASSERT_TRUE(succeeded(exported));
    const TemporaryFolder folder;
    const auto file = folder / "again.txt";
    ASSERT_TRUE(succeeded(writeWholeFile(file, *exported)));
    const auto inspected = look(book_.request(file));
    ASSERT_TRUE(succeeded(inspected));
    ASSERT_EQ(inspected->doubts.size(), 1U);
    EXPECT_THAT(inspected->doubts[0].detail, HasSubstr("trial 1"));
    expectDoubts(book_.request(file), {"figures-twice"});
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 1, "smudged", sample::kWhen)));
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 2, "smudged", sample::kWhen)));
    expectNoDoubt(book_.request(file));
}

TEST_F(Inspect, AnUnknownMeasuringConditionIsAskedAboutWhereThereAreOthers) {
    measure::Reading unknown = book_.print();
    unknown.condition = measure::Condition::unknown;
    const auto first = book_.write(unknown);
    expectNoDoubt(book_.request(first));
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 1, "smudged", sample::kWhen)));
    expectNoDoubt(book_.request(first));  // there is none again
    unknown = book_.print({5, 5});
    unknown.condition = measure::Condition::unknown;
    const auto second = book_.write(unknown);
    const auto inspected = look(book_.request(second, {5, 5}));
    ASSERT_TRUE(succeeded(inspected));
    ASSERT_EQ(inspected->doubts.size(), 1U);
    EXPECT_EQ(inspected->doubts[0].question, "Was it measured like the other sheets of this condition?");
    expectDoubts(book_.request(second, {5, 5}), {"measured-under-unknown"});
    expectNoDoubt(book_.request(book_.write(book_.print({6, 6})), {6, 6}));  // it says M1
}

TEST_F(Inspect, AFurtherReadingIsAskedWhetherItIsOfThatSheet) {
    const measure::Reading sheet = book_.print();
    expectNoDoubt(book_.request(book_.write(sheet)));
    const auto further = [&](const measure::Reading& reading) {
        ReadRequest request = book_.request(book_.write(reading));
        request.setting.clear();
        request.toTrial = 1;
        return request;
    };
    measure::Reading again = sheet;
    again.condition = measure::Condition::m2;
    const auto inspected = look(further(again));
    ASSERT_TRUE(succeeded(inspected));
    EXPECT_EQ(inspected->summary.trial, 1);
    EXPECT_EQ(inspected->summary.setting, (book::Setting{{"up", 0}, {"across", 0}}));
    expectNoDoubt(further(again));

    expectDoubts(further(onCream(sheet)), {"other-paper"});
    EXPECT_EQ(book_.trials(), 1U);
    EXPECT_EQ(book_.studio.trials("chalk")->front().readings.size(), 3U);

    again.condition = measure::Condition::unknown;
    const auto unknown = look(further(again));
    ASSERT_TRUE(succeeded(unknown));
    ASSERT_EQ(unknown->doubts.size(), 1U);
    EXPECT_EQ(unknown->doubts[0].question,
              "Was it measured otherwise than the first time, say without ultraviolet?");
    expectDoubts(further(again), {"measured-under-unknown"});
    expectDoubts(further(again), {"reading-twice", "measured-under-unknown"});
}

TEST_F(Inspect, SeveralDoubtsComeInTheOrderOfReading) {
    book_.take();
    measure::Reading cream = onCream(book_.print({5, 5}));
    cream.condition = measure::Condition::unknown;
    expectDoubts(book_.request(book_.write(cream), {5, 5}), {"other-paper", "measured-under-unknown"});
}

TEST_F(Inspect, WhatNoAnswerMendsIsRefusedAsInReading) {
    book_.take();
    measure::Reading turned = book_.print({5, 5});
    for (measure::Patch& patch : turned.patches) patch.tonePercent.reset();
    std::reverse(turned.patches.begin() + 6, turned.patches.begin() + 12);
    ReadRequest request = book_.request(book_.write(turned), {5, 5});
    for (const double tone : sample::fullRamp()) request.tonesPercent.push_back(100 * tone);
    expectRefusedAlike(request, "strip-reversed");

    const auto file = book_.write(book_.print({5, 5}));
    expectRefusedAlike(book_.request(file, {51, 0}), "setting-out-of-range");
    expectRefusedAlike(book_.request(file, {0.5, 0}), "setting-off-step");
    request = book_.request(file);
    request.setting = {{"up", 5}};
    expectRefusedAlike(request, "setting-axis-missing");
    request.setting = {{"up", 5}, {"across", 5}, {"deep", 5}};
    expectRefusedAlike(request, "setting-axis-unknown");
    request = book_.request(file);
    request.toTrial = 7;
    expectRefusedAlike(request, "trial-unknown");
    request = book_.request(file);
    request.through = 7;
    expectRefusedAlike(request, "correction-unknown");
    request.toTrial = 1;
    expectRefusedAlike(request, "through-and-trial");
    request = book_.request(file);
    request.condition = "fen";
    expectRefusedAlike(request, "condition-unknown");
    request = book_.request(file.string() + ".none");
    expectRefusedAlike(request, "file-not-found");
}

TEST_F(Inspect, TheLikelySettingIsWhatTheSearchAsksFor) {
    const auto likely = [&] {
        ReadRequest request = book_.request(book_.write(book_.print({5, 5})));
        request.setting.clear();
        const auto inspected = look(request);
        EXPECT_TRUE(succeeded(inspected));
        return inspected->likelySetting;
    };
    EXPECT_EQ(likely(), (book::Setting{{"up", 0}, {"across", 0}})) << "nothing was read yet";
    book_.take();
    const auto search = book_.studio.steer("chalk", {});
    ASSERT_TRUE(succeeded(search));
    const auto asked = search->summary.predicted.setting;
    ASSERT_NE(asked, (steer::Setting{0, 0}));
    EXPECT_EQ(likely(), (book::Setting{{"up", asked[0]}, {"across", asked[1]}}));
    // A choice of the driver that nothing was printed with has no search of its own.
    ReadRequest dark = book_.request(book_.write(book_.print({5, 5})));
    dark.choices = {{"tone", "dark"}};
    EXPECT_EQ(look(dark)->likelySetting, (book::Setting{{"up", 0}, {"across", 0}}));
}

TEST_F(Inspect, TheFirstSheetOfAnotherPaperIsLikelyWhatTheOtherTaught) {
    for (const std::vector<double>& setting : {std::vector<double>{0, 0}, {15, 0}, {0, 15}, {-10, -10}})
        book_.take(setting);
    book::ConditionRecord fen = book_.studio.condition("chalk").value();
    fen.name = "fen";
    fen.paper = "Fen Satin";
    ASSERT_TRUE(succeeded(book_.studio.addCondition(fen)));
    const auto search = book_.studio.steer("fen", {});
    ASSERT_TRUE(succeeded(search));
    const auto asked = search->summary.predicted.setting;
    ASSERT_NE(asked, (steer::Setting{0, 0}));
    ReadRequest request = book_.request(book_.write(book_.print()));
    request.condition = "fen";
    const auto inspected = look(request);
    ASSERT_TRUE(succeeded(inspected));
    EXPECT_EQ(inspected->likelySetting, (book::Setting{{"up", asked[0]}, {"across", asked[1]}}));
}

TEST(InspectOnItsOwn, TheLikelySettingIsOneThatTheDriverHas) {
    sample::SampleBook book({{"up", 5, 20, 1}, {"across", -30, -10, 1}});
    const auto inspected = book.studio.inspect(book.request(book.write(book.print({6, -12})), {6, -12}));
    ASSERT_TRUE(succeeded(inspected));
    EXPECT_EQ(inspected->likelySetting, (book::Setting{{"up", 5}, {"across", -10}}));
    ReadRequest silent = book.request(book.write(book.print({6, -12})), {6, -12});
    silent.setting.clear();
    EXPECT_EQ(book.studio.inspect(silent).error().code, "setting-missing");
    EXPECT_EQ(book.studio.read(silent).error().code, "setting-missing");
}

TEST(InspectOnItsOwn, MakesNoBook) {
    sample::SampleBook printed;
    const TemporaryFolder folder;
    const auto inspected =
        Studio(folder / "none.book").inspect(printed.request(printed.write(printed.print())));
    ASSERT_FALSE(inspected);
    EXPECT_EQ(inspected.error().code, "book-not-found");
    EXPECT_EQ(folder.count(), 0U);
}

TEST(InspectOnItsOwn, LeavesAnOlderBookAsOldAsItIs) {
    sample::SampleBook printed;
    const TemporaryFolder folder;
    const auto path = folder / "old.book";
    {
        SQLite::Database database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
        book::migrate(database, book::migrations().first(1));
        database.exec(R"sql(
INSERT INTO conditions VALUES (1, 'chalk', 'Heron', 'pigment', 'Chalk Rag', 'grey', '2031-04-05T06:07:08Z');
INSERT INTO axes VALUES (1, 1, 'up', -50, 50, 1), (1, 2, 'across', -50, 50, 1);
)sql");
    }
    const std::string before = readWholeFile(path).value();
    ASSERT_TRUE(succeeded(Studio(path).inspect(printed.request(printed.write(printed.print())))));
    EXPECT_EQ(readWholeFile(path).value(), before);
}

}  // namespace
}  // namespace greywright::studio
