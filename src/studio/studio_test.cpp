#include "studio/studio.h"

#include <gtest/gtest.h>

#include "core/files.h"
#include "measure/write.h"
#include "simulate/printer.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::studio {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

// The same print, once as a full ramp and once as blocks without bare paper, is the same under other lights:
// the glow of the paper's brightener is held apart in both.
TEST(Studio, BlocksAndRampsAgreeUnderOtherLights) {
    const TemporaryFolder folder;
    const Studio studio(folder / "studio.book");
    ASSERT_TRUE(succeeded(studio.addCondition({.name = "chalk",
                                               .printer = "Heron",
                                               .inks = "pigment",
                                               .paper = "Chalk Rag",
                                               .mode = "grey",
                                               .axes = {{"across", -50, 50, 1}},
                                               .when = "2031-04-05T06:07:08Z"})));
    const auto printer = simulate::printerFromRecipe({.seed = 4});
    Random random(7);
    std::vector<double> tones;
    for (int i = 0; i <= 20; ++i) tones.push_back(i / 20.0);
    measure::Reading ramp = printer->print(tones, std::vector<double>{0, 0}, random);
    ramp.condition = measure::Condition::m1;
    // A brightener: paper and light tones send back more than they get near 440 nm.
    ASSERT_TRUE(ramp.grid);
    for (measure::Patch& patch : ramp.patches) {
        patch.lab.reset();
        for (std::size_t i = 0; i < patch.reflectance.size(); ++i) {
            const double nm = ramp.grid->startNm + double(i) * ramp.grid->stepNm;
            if (nm > 415 && nm < 475) patch.reflectance[i] *= 1.12;
        }
    }
    measure::Reading blocks = ramp;
    blocks.patches = {ramp.patches[7], ramp.patches[10], ramp.patches[13]};
    int n = 0;
    for (const measure::Reading& reading : {ramp, blocks}) {
        const auto file = folder / (std::to_string(++n) + ".txt");
        ASSERT_TRUE(succeeded(writeWholeFile(file, measure::cgatsFromReading(reading))));
        ASSERT_TRUE(succeeded(studio.read({.file = file,
                                           .condition = "chalk",
                                           .setting = {{"across", double(n)}},
                                           .preferred = measure::Condition::m1,
                                           .when = "2031-04-05T06:07:08Z"})));
    }
    const auto search = studio.steer("chalk", {.lights = {{.name = "A"}}});
    ASSERT_TRUE(succeeded(search));
    ASSERT_EQ(search->history.trials.size(), 2U);
    const auto& full = search->history.trials[0].under.at(0);
    const auto& few = search->history.trials[1].under.at(0);
    ASSERT_EQ(full.size(), 21U);
    ASSERT_EQ(few.size(), 3U);
    for (const auto& [block, tone] : {std::pair{0U, 7U}, {1U, 10U}, {2U, 13U}}) {
        EXPECT_EQ(few[block].tonePercent, full[tone].tonePercent);
        EXPECT_NEAR(few[block].lab.a, full[tone].lab.a, 1e-9);
        EXPECT_NEAR(few[block].lab.b, full[tone].lab.b, 1e-9);
    }
    const auto& d50 = search->history.trials[0].tones;
    EXPECT_GT(std::abs(d50[10].lab.b - full[10].lab.b), 0.3) << "the light makes a difference";
}

}  // namespace
}  // namespace greywright::studio
