#include "core/markup.h"

#include <gtest/gtest.h>

namespace greywright {
namespace {

TEST(Markup, NothingCanBreakOutOfAnAttribute) {
    // Source: XML 1.0, 2.4 and 2.2: the five characters with a name of their own, and those not allowed.
    EXPECT_EQ(markupFromText("<b a=\"1\" c='2'> & \x01\n"),
              "&lt;b a=&quot;1&quot; c=&#39;2&#39;&gt; &amp;   ");
    EXPECT_EQ(markupFromText("grün 50 %"), "grün 50 %");
}

}  // namespace
}  // namespace greywright
