#include "correct/spline.h"

#include <gtest/gtest.h>

#include "core/contract.h"

namespace greywright::correct {
namespace {

TEST(Spline, BasisAddsUpToOneEverywhere) {
    const Spline spline(7);
    for (int i = -10; i <= 110; ++i) EXPECT_NEAR(spline.at(i / 100.0).sum(), 1, 1e-12) << i;
}

TEST(Spline, AtAKnotTheBasisIsOneFourOne) {
    // Source: de Boor (1978): a cubic B-spline on equal intervals is 1/6, 4/6, 1/6 at its knots.
    const Eigen::VectorXd values = Spline(4).at(0.5);
    EXPECT_NEAR(values[2], 1.0 / 6, 1e-12);
    EXPECT_NEAR(values[3], 4.0 / 6, 1e-12);
    EXPECT_NEAR(values[4], 1.0 / 6, 1e-12);
}

TEST(Spline, AStraightLineIsNotRoughAndAParabolaIsAsRoughAsItsCurvature) {
    for (const int intervals : {5, 20}) {
        const Spline spline(intervals);
        Eigen::VectorXd line(spline.size()), parabola(spline.size());
        for (int i = 0; i < spline.size(); ++i) {
            const double x = static_cast<double>(i - 1) / intervals;
            line[i] = 3 - 2 * x;
            parabola[i] = x * x;
        }
        const Eigen::MatrixXd rough = spline.roughness(0.01);
        EXPECT_NEAR(line.dot(rough * line), 0, 1e-8);
        EXPECT_NEAR(spline.at(0.3).dot(line), 2.4, 1e-12) << "coefficients of a line lie on it";
        // The second derivative of x^2 is 2, its square 4, over a length of 1 and a little at the ends.
        EXPECT_NEAR(parabola.dot(spline.roughness() * parabola), 4, 4.0 / intervals + 1e-9);
    }
}

TEST(Spline, NeedsAnInterval) {
    EXPECT_THROW(Spline(0), ContractViolation);
}

}  // namespace
}  // namespace greywright::correct
