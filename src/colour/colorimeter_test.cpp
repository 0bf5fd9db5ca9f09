#include "colour/colorimeter.h"

#include <gtest/gtest.h>

#include "testing/near.h"

namespace greywright::colour {
namespace {

using testing::succeeded;

TEST(Colorimeter, AFlatReflectanceIsNeutralUnderEveryLight) {
    for (const std::string& name : lightNames()) {
        const auto light = lightByName(name);
        ASSERT_TRUE(succeeded(light));
        const Colorimeter colorimeter(observer(ObserverName::cie1931), *light, {380, 10, 36});
        const Lab lab = colorimeter.labFromReflectance(std::vector<double>(36, 0.18));
        EXPECT_NEAR(lab.L, 49.4961, 1e-4) << name;
        EXPECT_NEAR(lab.a, 0, 1e-9) << name;
        EXPECT_NEAR(lab.b, 0, 1e-9) << name;
    }
}

}  // namespace
}  // namespace greywright::colour
