#include "figure/svg.h"

#include <limits>
#include <set>
#include <string>

#include <gtest/gtest.h>
#include <pugixml.hpp>

#include "core/files.h"
#include "core/platform.h"
#include "figure/gallery.h"
#include "testing/near.h"

namespace greywright::figure {
namespace {

pugi::xml_document parsed(const std::string& svg) {
    pugi::xml_document document;
    const auto outcome = document.load_string(svg.c_str(), pugi::parse_default | pugi::parse_fragment);
    EXPECT_TRUE(outcome) << outcome.description() << " at " << outcome.offset;
    return document;
}

// With GREYWRIGHT_GALLERY set to a folder the samples are written there to be looked at.
TEST(Svg, EverySampleIsWellFormedAndTellsWhatItShows) {
    const auto folder = platform::environment("GREYWRIGHT_GALLERY");
    std::set<std::string> ids;
    for (const auto& [name, scene] : gallery::scenes()) {
        SCOPED_TRACE(name);
        const std::string svg = svgFromScene(scene, name);
        if (folder) {
            ASSERT_TRUE(
                testing::succeeded(writeWholeFile(std::filesystem::path(*folder) / (name + ".svg"), svg)));
        }
        const auto document = parsed(svg);
        const auto root = document.child("svg");
        EXPECT_EQ(root.child("title").text().as_string(), scene.title);
        EXPECT_STREQ(root.attribute("width").value(), "100%");
        EXPECT_FALSE(root.child("script"));
        EXPECT_EQ(svg.find("nan"), std::string::npos);
        EXPECT_EQ(svg.find("inf"), std::string::npos);
        for (const auto& found : document.select_nodes("//@id")) {
            EXPECT_TRUE(ids.insert(found.attribute().value()).second) << "two figures share an id";
        }
    }
    EXPECT_GE(ids.size(), 18U);
}

TEST(Svg, WordsComeThroughUnchangedOrHarmless) {
    const std::string awkward = "a < b & \"c\" > 'd' ΔE00 − 2°";
    Scene scene{.widthPt = 200, .heightPt = 100, .title = awkward, .description = "]]> <script>"};
    scene.primitives.push_back(Text{.at = {10, 20}, .text = awkward});
    scene.primitives.push_back(Text{.at = {10, 40}, .text = std::string("bell\a nul\0 \xff\xc3 tab\t", 18)});
    const auto document = parsed(svgFromScene(scene, "x"));
    const auto root = document.child("svg");
    EXPECT_EQ(root.child("title").text().as_string(), awkward);
    EXPECT_STREQ(root.child("desc").text().as_string(), "]]> <script>");
    const auto text = root.child("text");
    EXPECT_EQ(text.text().as_string(), awkward);
    EXPECT_STREQ(text.next_sibling("text").text().as_string(), "bell\uFFFD nul\uFFFD \uFFFD\uFFFD tab ");
}

TEST(Svg, NumbersAreShortAndPlain) {
    Scene scene{.widthPt = 100, .heightPt = 50.5};
    scene.primitives.push_back(Circle{{10, 0.126}, 1.0 / 3, Fill{{255, 0, 10}, 0.5}, {}});
    const std::string svg = svgFromScene(scene, "f-1");
    EXPECT_NE(svg.find("viewBox=\"0 0 100 50.5\""), std::string::npos);
    EXPECT_NE(svg.find("<circle cx=\"10\" cy=\"0.13\" r=\"0.33\" fill=\"#ff000a\" fill-opacity=\"0.5\"/>"),
              std::string::npos)
        << svg;
}

TEST(Svg, AHoleStaysAHole) {
    Scene scene{.widthPt = 100, .heightPt = 100};
    scene.primitives.push_back(
        Polygon{{{{0, 0}, {90, 0}, {0, 90}}, {{10, 10}, {20, 10}, {10, 20}}}, Fill{{1, 2, 3}}, {}});
    EXPECT_NE(svgFromScene(scene, "h").find("d=\"M0 0L90 0L0 90ZM10 10L20 10L10 20Z\" fill-rule=\"evenodd\""),
              std::string::npos);
}

TEST(Svg, RefusesAnIdThatHtmlWouldNotTakeAndNumbersThatAreNone) {
    const Scene scene{.widthPt = 10, .heightPt = 10};
    EXPECT_THROW((void)svgFromScene(scene, ""), ContractViolation);
    EXPECT_THROW((void)svgFromScene(scene, "1a"), ContractViolation);
    EXPECT_THROW((void)svgFromScene(scene, "a\""), ContractViolation);
    EXPECT_THROW((void)svgFromScene({.widthPt = std::numeric_limits<double>::infinity()}, "a"),
                 ContractViolation);
}

}  // namespace
}  // namespace greywright::figure
