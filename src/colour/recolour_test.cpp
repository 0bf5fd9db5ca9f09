#include "colour/recolour.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "colour/difference.h"
#include "colour/reference_rows.h"

namespace greywright::colour {
namespace {

const WavelengthGrid kMunsellGrid{400, 5, 61};

Colorimeter under(const char* light) {
    return {observer(ObserverName::cie1931), lightByName(light).value(), kMunsellGrid};
}

TEST(Recolour, HasTheWantedColourAndLeavesWhatIsRightAlone) {
    const Colorimeter d50 = under("D50");
    for (const auto& paper : referenceRows("munsell_reflectance.csv")) {
        const Lab own = d50.labFromReflectance(paper);
        const auto same = recoloured(paper, d50, own);
        ASSERT_TRUE(same);
        for (std::size_t i = 0; i < paper.size(); ++i) EXPECT_NEAR((*same)[i], paper[i], 1e-6);
        if (std::hypot(own.a, own.b) > 12) continue;
        const Lab wanted{own.L, own.a + 2, own.b - 3};
        const auto moved = recoloured(paper, d50, wanted);
        ASSERT_TRUE(moved);
        EXPECT_LT(deltaE76(d50.labFromReflectance(*moved), wanted), 1e-6);
    }
}

TEST(Recolour, ABlackThatReflectsNothingCannotBeMoved) {
    const std::vector<double> nothing(kMunsellGrid.count, 0.0);
    EXPECT_FALSE(recoloured(nothing, under("D50"), {10, 1, 1}));
}

// What the moved spectrum says of another light is nearer to the truth than to shift the colour there by as
// much as under D50. Source: the measured papers of tools/reference/munsell.py, pairs of pale colours that
// differ by 2 to 8.
TEST(Recolour, TellsWhatAnotherLightShows) {
    const Colorimeter d50 = under("D50");
    const auto papers = referenceRows("munsell_reflectance.csv");
    for (const char* light : {"A", "F11"}) {
        const Colorimeter other = under(light);
        std::vector<double> byMoving, byShifting;
        for (std::size_t i = 0; i < papers.size(); ++i) {
            const Lab one = d50.labFromReflectance(papers[i]);
            if (std::hypot(one.a, one.b) > 15) continue;
            for (std::size_t j = 0; j < papers.size(); ++j) {
                const Lab two = d50.labFromReflectance(papers[j]);
                const double apart = deltaE76(one, two);
                if (apart < 2 || apart > 8) continue;
                const auto moved = recoloured(papers[i], d50, two);
                ASSERT_TRUE(moved);
                const Lab truth = other.labFromReflectance(papers[j]);
                const Lab start = other.labFromReflectance(papers[i]);
                byMoving.push_back(deltaE76(other.labFromReflectance(*moved), truth));
                byShifting.push_back(deltaE76(
                    {start.L + two.L - one.L, start.a + two.a - one.a, start.b + two.b - one.b}, truth));
            }
        }
        ASSERT_GT(byMoving.size(), 50U);
        const auto median = [](std::vector<double> values) {
            std::ranges::sort(values);
            return values[values.size() / 2];
        };
        EXPECT_LT(median(byMoving), median(byShifting)) << light;
        RecordProperty(std::string("moved_") + light, std::to_string(median(byMoving)));
        RecordProperty(std::string("shifted_") + light, std::to_string(median(byShifting)));
    }
}

}  // namespace
}  // namespace greywright::colour
