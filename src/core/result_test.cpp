#include "core/result.h"

#include <gtest/gtest.h>

namespace greywright {
namespace {

Result<int> half(int number) {
    if (number % 2 != 0) {
        return Error{.code = "odd",
                     .what = "is odd",
                     .where = {.path = "numbers.txt", .line = 7, .field = "N"},
                     .next = "Give an even one"};
    }
    return number / 2;
}

TEST(Result, HoldsAValueOrAnError) {
    EXPECT_EQ(half(8).value(), 4);
    const auto failed = half(7);
    ASSERT_FALSE(failed);
    EXPECT_EQ(failed.error().code, "odd");
    EXPECT_EQ(failed.error().text(), "numbers.txt:7: N: is odd. Give an even one");
}

TEST(Result, AskingForWhatIsNotThereIsAProgrammersMistake) {
    EXPECT_THROW((void)half(7).value(), ContractViolation);
    EXPECT_THROW((void)half(8).error(), ContractViolation);
}

TEST(Place, LeavesOutWhatIsUnknown) {
    EXPECT_EQ((Place{.path = "a.txt"}).text(), "a.txt");
    EXPECT_EQ((Place{.line = 3}).text(), "line 3");
    EXPECT_EQ((Place{.field = "LAB_L"}).text(), "LAB_L");
    EXPECT_EQ(Place{}.text(), "");
}

}  // namespace
}  // namespace greywright
