#pragma once

#include <algorithm>
#include <cmath>
#include <string_view>
#include <variant>
#include <vector>

#include <gtest/gtest.h>

#include "figure/scene.h"
#include "figure/type.h"

/// What tests ask of a finished page.
namespace greywright::figure::inspect {

/// The primitives of one kind, in their order.
template <typename Kind>
std::vector<Kind> all(const Scene& scene) {
    std::vector<Kind> found;
    for (const Primitive& primitive : scene.primitives) {
        if (const auto* one = std::get_if<Kind>(&primitive)) found.push_back(*one);
    }
    return found;
}

/// Whether a text of the page is just `words`.
inline bool says(const Scene& scene, std::string_view words) {
    return std::ranges::any_of(all<Text>(scene), [&](const Text& text) { return text.text == words; });
}

/// Everything finite and on the page, by the width table where it is text.
inline void expectOnPage(const Scene& scene) {
    const Rect page{0, 0, scene.widthPt, scene.heightPt};
    const auto on = [&](Point point) {
        ASSERT_TRUE(std::isfinite(point.x) && std::isfinite(point.y));
        EXPECT_TRUE(page.contains(point)) << point.x << ", " << point.y;
    };
    for (const Polyline& line : all<Polyline>(scene)) {
        EXPECT_GE(line.points.size(), 2U);
        for (const Point point : line.points) on(point);
    }
    for (const Polygon& polygon : all<Polygon>(scene)) {
        for (const auto& ring : polygon.rings) {
            EXPECT_GE(ring.size(), 3U);
            for (const Point point : ring) on(point);
        }
    }
    for (const Circle& circle : all<Circle>(scene)) {
        on({circle.centre.x - circle.radiusPt, circle.centre.y - circle.radiusPt});
        on({circle.centre.x + circle.radiusPt, circle.centre.y + circle.radiusPt});
    }
    for (const Text& text : all<Text>(scene)) {
        const Rect box = textBox(text);
        EXPECT_TRUE(page.contains(box))
            << '"' << text.text << "\" from " << box.left << ", " << box.top << " to " << box.right() << ", "
            << box.bottom() << " on " << page.width << " by " << page.height;
    }
}

/// No two texts share any ink.
inline void expectTextsApart(const Scene& scene) {
    const auto texts = all<Text>(scene);
    for (std::size_t i = 0; i < texts.size(); ++i) {
        for (std::size_t k = i + 1; k < texts.size(); ++k) {
            const Rect a = textBox(texts[i]);
            const Rect b = textBox(texts[k]);
            const double width = std::min(a.right(), b.right()) - std::max(a.left, b.left);
            const double height = std::min(a.bottom(), b.bottom()) - std::max(a.top, b.top);
            EXPECT_FALSE(width > 0.5 && height > 0.5) << texts[i].text << " meets " << texts[k].text;
        }
    }
}

}  // namespace greywright::figure::inspect
