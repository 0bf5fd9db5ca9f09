#include "studio/overview.h"

#include <gtest/gtest.h>

#include "studio/convert.h"
#include "studio/json.h"
#include "studio/sample_book.h"

namespace greywright::studio {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

class Overview : public ::testing::Test {
  protected:
    [[nodiscard]] ConditionOverview chalk() const {
        const auto all = book_.studio.overview();
        EXPECT_TRUE(succeeded(all));
        EXPECT_EQ(all->size(), 1U);
        return all->front();
    }

    void expectStanding(Standing standing, const std::string& words) const {
        const ConditionOverview one = chalk();
        EXPECT_EQ(one.standing, standing) << one.words;
        EXPECT_EQ(one.words, words);
    }

    /// What the search says now.
    [[nodiscard]] Search search() const {
        auto found = book_.studio.steer("chalk", {});
        EXPECT_TRUE(succeeded(found));
        return *std::move(found);
    }

    /// Keeps what both programs keep of a search.
    void keep(const Search& search, int trial, const std::string& when = sample::kWhen) const {
        EXPECT_FALSE(book_.studio.keepVerdict(
            "chalk", {.trial = trial, .kind = "steer", .json = jsonFromSearch(search), .when = when}));
    }

    /// A search that ended in a status, whatever the trials say, at up 3, across −8.
    [[nodiscard]] Search searchThat(steer::Status status) const {
        Search out = search();
        out.summary.status = status;
        out.summary.cannotTell = false;
        out.summary.predicted.setting = {3, -8};
        return out;
    }

    sample::SampleBook book_;
};

TEST_F(Overview, WithoutABookIsAnError) {
    const TemporaryFolder folder;
    const auto none = Studio(folder / "none.book").overview();
    ASSERT_FALSE(none);
    EXPECT_EQ(none.error().code, "book-not-found");
}

TEST_F(Overview, NothingMeasuredIsEmpty) {
    const ConditionOverview one = chalk();
    EXPECT_EQ(one.condition.name, "chalk");
    EXPECT_EQ(one.trials, 0U);
    EXPECT_EQ(one.lastTrial, 0);
    expectStanding(Standing::empty, "Print and measure the first sheet");
    // A trial that no longer counts is none.
    const int trial = book_.take();
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", trial, "smudged", sample::kWhen)));
    EXPECT_EQ(chalk().trials, 0U);
    expectStanding(Standing::empty, "Print and measure the first sheet");
}

TEST_F(Overview, ATrialIsUnfinishedUntilItIsSearchedWith) {
    book_.take();
    EXPECT_EQ(chalk().trials, 1U);
    EXPECT_EQ(chalk().lastTrial, 1);
    expectStanding(Standing::unfinished, "Trial 1 is not judged yet");
    EXPECT_FALSE(book_.studio.keepVerdict(
        "chalk", {.trial = 1, .kind = "judge", .json = "{}", .when = sample::kWhen}));
    expectStanding(Standing::unfinished, "Trial 1 is judged; ask what to print next");
    const Search asked = search();
    ASSERT_EQ(asked.summary.status, steer::Status::print);
    keep(asked, 1);
    expectStanding(
        Standing::unfinished,
        "Print " + wordsFromSetting(asked.history.axes, asked.summary.predicted.setting) + " next");
}

TEST_F(Overview, EveryStatusThatIsKeptIsUnderstood) {
    book_.take();
    keep(searchThat(steer::Status::settled), 1);
    expectStanding(Standing::neutral, "Neutral at up 3, across −8");
    keep(searchThat(steer::Status::outOfReach), 1);
    expectStanding(Standing::outOfReach, "No setting will do; correct the pictures");
    keep(searchThat(steer::Status::print), 1);
    expectStanding(Standing::unfinished, "Print up 3, across −8 next");
    Search uncertain = searchThat(steer::Status::print);
    uncertain.summary.cannotTell = true;
    keep(uncertain, 1);
    expectStanding(Standing::unfinished, "Cannot tell more; the best known is up 3, across −8");
}

TEST_F(Overview, WhatSettledAndNoLongerIsDrifts) {
    book_.take();
    keep(searchThat(steer::Status::settled), 1);
    book_.take({3, -8});
    EXPECT_EQ(chalk().lastTrial, 2);
    expectStanding(Standing::unfinished, "Trial 2 is not judged yet");
    keep(searchThat(steer::Status::print), 2);
    expectStanding(Standing::drifting, "No longer neutral: print up 3, across −8 next");
    Search uncertain = searchThat(steer::Status::print);
    uncertain.summary.cannotTell = true;
    keep(uncertain, 2);
    expectStanding(Standing::drifting,
                   "No longer neutral: cannot tell more; the best known is up 3, across −8");
    keep(searchThat(steer::Status::outOfReach), 2);
    expectStanding(Standing::outOfReach, "No setting will do; correct the pictures");
    keep(searchThat(steer::Status::settled), 2);
    expectStanding(Standing::neutral, "Neutral at up 3, across −8");
}

TEST_F(Overview, AnAnswerAboutOlderTrialsAskedLaterDoesNotStandForTheLatest) {
    book_.take();
    book_.take({10, 0});
    keep(searchThat(steer::Status::settled), 2);
    keep(searchThat(steer::Status::print), 1);  // as for another of the driver's choices
    expectStanding(Standing::neutral, "Neutral at up 3, across −8");
}

TEST_F(Overview, WithdrawnTrialsTakeTheirAnswersWithThem) {
    book_.take();
    keep(searchThat(steer::Status::print), 1);
    book_.take({3, -8});
    keep(searchThat(steer::Status::settled), 2);
    // Its own trial: what was asked before counts again.
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 2, "smudged", "2031-04-05T07:00:00Z")));
    EXPECT_EQ(chalk().trials, 1U);
    EXPECT_EQ(chalk().lastTrial, 1);
    expectStanding(Standing::unfinished, "Print up 3, across −8 next");
    ASSERT_TRUE(succeeded(book_.studio.restore("chalk", 2)));
    expectStanding(Standing::neutral, "Neutral at up 3, across −8");
    // An earlier one, which the search had counted.
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 1, "smudged", "2031-04-05T07:00:00Z")));
    expectStanding(Standing::unfinished, "A trial was withdrawn; ask again what to print next");
    Search again = searchThat(steer::Status::settled);
    keep(again, 2, "2031-04-05T08:00:00Z");
    expectStanding(Standing::neutral, "Neutral at up 3, across −8");
}

TEST_F(Overview, ASheetThroughACorrectionLeavesTheSearchWhereItIs) {
    book_.take();
    keep(searchThat(steer::Status::settled), 1);
    const auto curve = book_.studio.makeCurve("chalk", {.force = true, .when = sample::kWhen});
    ASSERT_TRUE(succeeded(curve));
    ReadRequest through = book_.request(book_.write(book_.print()));
    through.through = 1;
    ASSERT_TRUE(succeeded(book_.studio.read(through)));
    EXPECT_EQ(chalk().lastTrial, 2);
    expectStanding(Standing::neutral, "Neutral at up 3, across −8");
    // With nothing but such sheets there is nothing to search with.
    ASSERT_TRUE(succeeded(book_.studio.withdraw("chalk", 1, "smudged", sample::kWhen)));
    expectStanding(Standing::unfinished, "Trial 2 was measured");
}

TEST_F(Overview, AnswersThatCannotBeReadAreLeftOut) {
    book_.take();
    for (const char* text : {"{", "[]", "{}", "{\"status\": 3}"}) {
        EXPECT_FALSE(book_.studio.keepVerdict(
            "chalk", {.trial = 1, .kind = "steer", .json = text, .when = sample::kWhen}));
    }
    expectStanding(Standing::unfinished, "Trial 1 is not judged yet");
}

TEST(OverviewWithoutAxes, HasNothingToSearch) {
    sample::SampleBook book{std::vector<book::AxisRecord>{}};
    const auto before = book.studio.overview();
    ASSERT_TRUE(succeeded(before));
    EXPECT_EQ(before->at(0).standing, Standing::empty);
    book.take();
    const auto after = book.studio.overview();
    ASSERT_TRUE(succeeded(after));
    EXPECT_EQ(after->at(0).standing, Standing::unfinished);
    EXPECT_EQ(after->at(0).words, "Trial 1 was measured");
}

}  // namespace
}  // namespace greywright::studio
