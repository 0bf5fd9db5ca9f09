// Corrections, what was printed through them and made with them.

#include <gtest/gtest.h>

#include "book/book.h"
#include "book/sample.h"
#include "book/sha256.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::book {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

class Corrections : public ::testing::Test {
  protected:
    Corrections() {
        EXPECT_TRUE(succeeded(book_.addCondition(sample::condition())));
        EXPECT_TRUE(succeeded(book_.addTrial("Pearl", sample::trial(0, 0, "abc"))));
        EXPECT_TRUE(succeeded(book_.addTrial("Pearl", sample::trial(1, 0, "def"))));
    }

    TemporaryFolder folder_;
    Book book_ = Book::open(folder_ / "studio.book", OpenMode::readWrite).value();
};

TEST_F(Corrections, AreNumberedAndSayWhatTheyRestOn) {
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({1})).value(), 1);
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({2, 1}, 1)).value(), 2);
    const auto found = book_.corrections("Pearl").value();
    ASSERT_EQ(found.size(), 2U);
    EXPECT_EQ(found[0].fingerprint, sha256(sha256("abc")));
    EXPECT_EQ(found[1].fingerprint, sha256(sha256("abc") + sha256("def"))) << "whatever order they came in";
    EXPECT_EQ(found[1].trials, (std::vector{1, 2}));
    EXPECT_EQ(found[1].replaces, 1);
    EXPECT_EQ(found[1].content, "0 0\n100 100\n");
    EXPECT_EQ(found[1].kind, "curve");
}

TEST_F(Corrections, ATrialRemembersWhatItWasPrintedThrough) {
    ASSERT_TRUE(succeeded(book_.addCorrection("Pearl", sample::correction({1}))));
    NewTrial trial = sample::trial(0, 0, "ghi");
    trial.through = 1;
    trial.reading->reading.patches[1].codes = {{65535, 1.5, 0}};
    ASSERT_EQ(book_.addTrial("Pearl", trial).value(), 3);
    const TrialRecord kept = book_.trial("Pearl", 3).value();
    EXPECT_EQ(kept.through, 1);
    EXPECT_EQ(kept.readings[0].patches[1].codes, (std::array<double, 3>{65535, 1.5, 0}));
    EXPECT_FALSE(kept.readings[0].patches[0].codes);
    EXPECT_EQ(book_.trial("Pearl", 1).value().through, 0);
    trial.through = 2;
    trial.reading->originalFile = "jkl";
    EXPECT_EQ(book_.addTrial("Pearl", trial).error().code, "correction-unknown");
    trial.through = 1;
    trial.reading->reading.patches[1].codes = {{65536, 0, 0}};
    EXPECT_EQ(book_.addTrial("Pearl", trial).error().code, "reading-invalid");
}

TEST_F(Corrections, OfOneConditionAreNotThoseOfAnother) {
    ASSERT_TRUE(succeeded(book_.addCondition(sample::condition("Matt"))));
    ASSERT_TRUE(succeeded(book_.addCorrection("Pearl", sample::correction({1}))));
    EXPECT_TRUE(book_.corrections("Matt").value().empty());
    NewTrial trial = sample::trial(0, 0, "ghi");
    trial.through = 1;
    EXPECT_EQ(book_.addTrial("Matt", trial).error().code, "correction-unknown");
}

TEST_F(Corrections, WhatMakesNoSenseIsRefusedAndNothingKept) {
    CorrectionRecord kind = sample::correction({1});
    kind.kind = "spell";
    EXPECT_EQ(book_.addCorrection("Pearl", kind).error().code, "correction-invalid");
    CorrectionRecord empty = sample::correction({1});
    empty.content = "";
    EXPECT_EQ(book_.addCorrection("Pearl", empty).error().code, "correction-invalid");
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({})).error().code, "correction-invalid");
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({7})).error().code, "trial-unknown");
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({1}, 4)).error().code, "correction-unknown");
    ASSERT_TRUE(succeeded(book_.addTrial("Pearl", sample::trial(2, 0))));
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({3})).error().code, "trial-without-reading");
    EXPECT_TRUE(book_.corrections("Pearl").value().empty());
}

TEST_F(Corrections, AreWithdrawnWithAReasonAndStay) {
    ASSERT_TRUE(succeeded(book_.addCorrection("Pearl", sample::correction({1}))));
    EXPECT_EQ(book_.withdrawCorrection("Pearl", 1, " ", sample::kLater).error().code, "reason-missing");
    EXPECT_EQ(book_.withdrawCorrection("Pearl", 2, "a try", sample::kLater).error().code,
              "correction-unknown");
    EXPECT_FALSE(book_.corrections("Pearl").value()[0].withdrawnBecause);
    ASSERT_TRUE(succeeded(book_.withdrawCorrection("Pearl", 1, "a try", sample::kLater)));
    const CorrectionRecord kept = book_.corrections("Pearl").value().at(0);
    EXPECT_EQ(kept.withdrawnBecause, "a try");
    EXPECT_EQ(kept.withdrawnWhen, sample::kLater);
    EXPECT_EQ(book_.addCorrection("Pearl", sample::correction({1})).value(), 2)
        << "numbers are not given twice";
}

TEST_F(Corrections, FilesMadeWithThemAreKeptAllOrNone) {
    ASSERT_TRUE(succeeded(book_.addCorrection("Pearl", sample::correction({1}))));
    const MadeFileRecord one{1, "picture", "dusk.tif", "out/dusk.tif", sample::kWhen};
    const MadeFileRecord two{1, "profile", "", "pearl.icc", sample::kLater};
    MadeFileRecord bad = two;
    bad.correction = 9;
    EXPECT_EQ(book_.addMadeFiles("Pearl", {one, bad}).error().code, "correction-unknown");
    EXPECT_TRUE(book_.madeFiles("Pearl").value().empty());
    const MadeFileRecord plain{0, "profile", "", "as-it-is.icc", sample::kLater};
    ASSERT_TRUE(succeeded(book_.addMadeFiles("Pearl", {one, two, plain})));
    EXPECT_EQ(book_.madeFiles("Pearl").value(), (std::vector{one, two, plain}));
    EXPECT_EQ(book_.addMadeFiles("Matt", {plain}).error().code, "condition-unknown");
    bad = one;
    bad.file = "";
    EXPECT_EQ(book_.addMadeFiles("Pearl", {bad}).error().code, "made-file-invalid");
    EXPECT_TRUE(succeeded(book_.check()));
}

}  // namespace
}  // namespace greywright::book
