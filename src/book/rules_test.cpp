#include "book/rules.h"

#include <cmath>
#include <functional>
#include <limits>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "book/sample.h"
#include "testing/near.h"

namespace greywright::book {
namespace {

using greywright::testing::succeeded;

std::string codeOf(const ConditionRecord& condition) {
    const Outcome outcome = checkCondition(condition);
    if (outcome) return "";
    EXPECT_EQ(outcome.error().kind, ErrorKind::wrongUse);
    return outcome.error().code;
}

std::string codeWithAxes(std::vector<AxisRecord> axes) {
    ConditionRecord condition = sample::condition();
    condition.axes = std::move(axes);
    return codeOf(condition);
}

TEST(Condition, AnAxisNeedsARange) {
    EXPECT_EQ(codeWithAxes({{"a", 5, 5, 1}}), "axis-range-invalid");
    EXPECT_EQ(codeWithAxes({{"a", 5, -5, 1}}), "axis-range-invalid");
    EXPECT_EQ(codeWithAxes({{"a", -5, std::numeric_limits<double>::infinity(), 1}}), "axis-range-invalid");
    EXPECT_EQ(codeWithAxes({{"a", std::nan(""), 5, 1}}), "axis-range-invalid");
}

TEST(Condition, AStepGoesFromEndToEnd) {
    EXPECT_EQ(codeWithAxes({{"a", -5, 5, 0}}), "axis-step-invalid");
    EXPECT_EQ(codeWithAxes({{"a", -5, 5, -1}}), "axis-step-invalid");
    EXPECT_EQ(codeWithAxes({{"a", -5, 5, std::nan("")}}), "axis-step-invalid");
    EXPECT_EQ(codeWithAxes({{"a", -5, 5, 3}}), "axis-step-invalid");
    EXPECT_EQ(codeWithAxes({{"a", -5, 5, 20}}), "axis-step-invalid");
    EXPECT_EQ(codeWithAxes({{"a", 0, 1, 0.00000999}}), "axis-step-invalid");
    EXPECT_EQ(codeWithAxes({{"a", 0, 1, 0.00001}}), "");
    EXPECT_EQ(codeWithAxes({{"a", -1, 1, 0.1}}), "");
    EXPECT_EQ(codeWithAxes({{"a", -5, 5, 10}}), "");
}

TEST(Condition, HasAtMostThreeAxesWithDifferentNames) {
    const AxisRecord a{"a", 0, 1, 1};
    const AxisRecord b{"b", 0, 1, 1};
    const AxisRecord c{"c", 0, 1, 1};
    const AxisRecord d{"d", 0, 1, 1};
    EXPECT_EQ(codeWithAxes({}), "") << "a route without a tint control";
    EXPECT_EQ(codeWithAxes({a}), "");
    EXPECT_EQ(codeWithAxes({a, b, c}), "");
    EXPECT_EQ(codeWithAxes({a, b, c, d}), "axis-count");
    EXPECT_EQ(codeWithAxes({a, b, a}), "axis-name-twice");
}

TEST(Condition, AxisNamesFitIntoASettingsText) {
    for (const char* name : {"", "a b", "a=b", "a,b", "a:b", "a\n"}) {
        EXPECT_EQ(codeWithAxes({{name, 0, 1, 1}}), "axis-name-invalid") << '"' << name << '"';
    }
    EXPECT_EQ(codeWithAxes({{"jaune–bleu", 0, 1, 1}}), "");
}

TEST(Condition, NeedsANameAndAllItsParts) {
    for (const char* name : {"", "  ", " Pearl", "Pearl ", "Pe\narl"}) {
        EXPECT_EQ(codeOf(sample::condition(name)), "condition-name-invalid") << '"' << name << '"';
    }
    const std::pair<const char*, std::string ConditionRecord::*> parts[] = {
        {"printer", &ConditionRecord::printer},
        {"inks", &ConditionRecord::inks},
        {"paper", &ConditionRecord::paper},
        {"mode", &ConditionRecord::mode}};
    for (const auto& [field, part] : parts) {
        ConditionRecord condition = sample::condition();
        condition.*part = " ";
        const Outcome outcome = checkCondition(condition);
        ASSERT_FALSE(outcome);
        EXPECT_EQ(outcome.error().code, "condition-incomplete");
        EXPECT_EQ(outcome.error().where.field, field);
    }
}

TEST(Time, IsUtcToTheSecond) {
    EXPECT_TRUE(succeeded(checkTime(sample::kWhen)));
    for (const char* when : {"", "now", "2031-04-05", "2031-04-05T06:07:08", "2031-04-05 06:07:08Z",
                             "2031-04-05T06:07:08+01:00", "2031-04-05T06:07:08Zx"}) {
        const Outcome outcome = checkTime(when);
        ASSERT_FALSE(outcome) << when;
        EXPECT_EQ(outcome.error().code, "time-invalid");
    }
}

struct WrongSetting {
    Setting setting;
    const char* code;
    const char* field;
    const char* next;
};

TEST(Setting, EachMistakeNamesItsAxisAndAWayOut) {
    const auto axes = sample::condition().axes;
    const WrongSetting cases[] = {
        {{{"acros", 1}, {"up", 0}}, "setting-axis-unknown", "acros", "Did you mean across?"},
        {{{"sideways", 1}, {"up", 0}}, "setting-axis-unknown", "sideways", "Its axes are: across, up"},
        {{{"up", 0}, {"across", 1}, {"up", 0}}, "setting-axis-twice", "up", "Give every axis once"},
        {{{"across", 1}}, "setting-axis-missing", "up", "Give a value for each of: across, up"},
        {{{"across", 51}, {"up", 0}},
         "setting-out-of-range",
         "across",
         "Give a value that the driver offers"},
        {{{"across", -51}, {"up", 0}},
         "setting-out-of-range",
         "across",
         "Give a value that the driver offers"},
        {{{"across", std::nan("")}, {"up", 0}},
         "setting-out-of-range",
         "across",
         "Give a value that the driver offers"},
        {{{"across", 1}, {"up", 0.25}}, "setting-off-step", "up", "The nearest values are 0.2 and 0.3"},
        {{{"across", 1.5}, {"up", 0}}, "setting-off-step", "across", "The nearest values are 1 and 2"},
    };
    for (const WrongSetting& wrong : cases) {
        const auto result = settingOnAxes(axes, wrong.setting);
        ASSERT_FALSE(result) << wrong.code;
        EXPECT_EQ(result.error().kind, ErrorKind::wrongUse);
        EXPECT_EQ(result.error().code, wrong.code);
        EXPECT_EQ(result.error().where.field, wrong.field);
        EXPECT_EQ(result.error().next, wrong.next);
    }
}

TEST(Setting, ComesInTheOrderOfTheAxes) {
    const auto result = settingOnAxes(sample::condition().axes, {{"up", 1}, {"across", -50}});
    ASSERT_TRUE(succeeded(result));
    EXPECT_THAT(*result, ::testing::ElementsAre(AxisValue{"across", -50}, AxisValue{"up", 1}));
}

// The law: however a value on the step was computed, what is kept is the double nearest to its decimal text.
TEST(Setting, EqualSettingsCompareEqual) {
    const std::vector<AxisRecord> axes{{"up", -1, 1, 0.1}};
    for (int step = 0; step <= 20; ++step) {
        const double nearest = (step - 10) / 10.0;
        double summed = -1;
        for (int i = 0; i < step; ++i) summed += 0.1;
        for (const double given : {nearest, summed, -1 + step * 0.1}) {
            const auto result = settingOnAxes(axes, {{"up", given}});
            ASSERT_TRUE(succeeded(result));
            EXPECT_EQ(result->front().value, nearest);
        }
        EXPECT_FALSE(std::signbit(settingOnAxes(axes, {{"up", -0.0}})->front().value));
    }
}

std::string codeAfter(const std::function<void(ReadingRecord&)>& spoil) {
    ReadingRecord reading = sample::reading("x").reading;
    spoil(reading);
    const Outcome outcome = checkReading(reading);
    return outcome ? "" : outcome.error().code + " " + outcome.error().where.text();
}

TEST(Reading, IsKeptOnlyWhenNothingIsLost) {
    const double nan = std::nan("");
    EXPECT_EQ(codeAfter([](ReadingRecord&) {}), "");
    EXPECT_EQ(codeAfter([](auto& r) { r.patches.clear(); }), "reading-invalid ramp.txt: patches");
    EXPECT_EQ(codeAfter([](auto& r) { r.grid->count = 0; }), "reading-invalid ramp.txt: wavelengths");
    EXPECT_EQ(codeAfter([](auto& r) { r.grid->stepNm = 0; }), "reading-invalid ramp.txt: wavelengths");
    EXPECT_EQ(codeAfter([&](auto& r) { r.grid->startNm = nan; }), "reading-invalid ramp.txt: wavelengths");
    EXPECT_EQ(codeAfter([](auto& r) { r.grid.reset(); }), "reading-invalid ramp.txt:12: A1");
    EXPECT_EQ(codeAfter([](auto& r) { r.patches[2].reflectance.pop_back(); }),
              "reading-invalid ramp.txt: A3");
    EXPECT_EQ(codeAfter([&](auto& r) { r.patches[0].tonePercent = nan; }), "reading-invalid ramp.txt:12: A1");
    EXPECT_EQ(codeAfter([&](auto& r) { r.patches[0].reflectance[1] = nan; }),
              "reading-invalid ramp.txt:12: A1");
    EXPECT_EQ(codeAfter([&](auto& r) { r.patches[1].lab->L = nan; }), "reading-invalid ramp.txt: A2");
    EXPECT_EQ(codeAfter([&](auto& r) { r.patches[1].lab->a = nan; }), "reading-invalid ramp.txt: A2");
    EXPECT_EQ(codeAfter([&](auto& r) { r.patches[1].lab->b = nan; }), "reading-invalid ramp.txt: A2");
    EXPECT_EQ(codeAfter([](auto& r) { r.when = "today"; }), "time-invalid time");
}

constexpr double kInfinity = std::numeric_limits<double>::infinity();

// "" for a sound entry, else the code and the place.
template <typename Record>
std::string codeOf(Outcome (*check)(const Record&), Record record, const std::function<void(Record&)>& spoil,
                   ErrorKind kind = ErrorKind::wrongUse) {
    spoil(record);
    const Outcome outcome = check(record);
    if (outcome) return "";
    EXPECT_EQ(outcome.error().kind, kind);
    EXPECT_NE(outcome.error().next, "");
    return outcome.error().code + " " + outcome.error().where.text();
}

TEST(Light, NeedsANameAndASpectrumOrParts) {
    const auto code = [](const std::function<void(LightRecord&)>& spoil,
                         ErrorKind kind = ErrorKind::badInput) {
        return codeOf(checkLight, sample::light().light, spoil, kind);
    };
    EXPECT_EQ(code([](auto&) {}), "");
    EXPECT_EQ(code([](auto& l) { l.ultraviolet.clear(); }), "");
    EXPECT_EQ(code([](auto& l) { l.name = " Lamp"; }, ErrorKind::wrongUse), "light-invalid name");
    EXPECT_EQ(code([](auto& l) { l.grid = {}; }), "light-invalid lamp.txt: wavelengths");
    EXPECT_EQ(code([](auto& l) { l.grid.stepNm = 0; }), "light-invalid lamp.txt: wavelengths");
    EXPECT_EQ(code([](auto& l) { l.grid.stepNm = kInfinity; }), "light-invalid lamp.txt: wavelengths");
    EXPECT_EQ(code([](auto& l) { l.grid.startNm = kInfinity; }), "light-invalid lamp.txt: wavelengths");
    EXPECT_EQ(code([](auto& l) { l.grid.count = 5; }), "light-invalid lamp.txt: power");
    EXPECT_EQ(code([](auto& l) { l.power[2] = kInfinity; }), "light-invalid lamp.txt: power");
    EXPECT_EQ(code([](auto& l) { l.power = {0, 0, 0, 0}; }), "light-invalid lamp.txt: power");
    EXPECT_EQ(code([](auto& l) { l.power[3] = -3; }), "light-invalid lamp.txt: power");
    EXPECT_EQ(code([](auto& l) { l.ultraviolet[0] = std::nan(""); }), "light-invalid lamp.txt: ultraviolet");
    EXPECT_EQ(code([](auto& l) { l.when = "today"; }, ErrorKind::wrongUse), "time-invalid time");
    EXPECT_EQ(code([](auto& l) { l.power.clear(); }), "light-invalid lamp.txt: power");
}

TEST(Light, AMixNamesEachPartOnceWithAShare) {
    const auto code = [](std::vector<LightShareRecord> parts) {
        return codeOf<LightRecord>(checkLight, sample::mix("Both", std::move(parts)).light, [](auto&) {});
    };
    EXPECT_EQ(code({{"A", 1}, {"B", 0.001}}), "");
    EXPECT_EQ(code({}), "light-invalid power");
    EXPECT_EQ(code({{"", 1}}), "light-invalid parts");
    EXPECT_EQ(code({{"A", 0}}), "light-invalid parts");
    EXPECT_EQ(code({{"A", -1}}), "light-invalid parts");
    EXPECT_EQ(code({{"A", kInfinity}}), "light-invalid parts");
    EXPECT_EQ(code({{"A", std::nan("")}}), "light-invalid parts");
    EXPECT_EQ(code({{"Tube A", 1}, {"B", 1}, {"tube a", 1}}), "light-invalid parts");
    EXPECT_EQ(codeOf<LightRecord>(checkLight, sample::mix("Both", {{"A", 1}}).light,
                                  [](auto& light) {
                                      light.grid = {380, 5, 4};
                                  }),
              "light-invalid wavelengths");
}

TEST(Scene, NeedsANameALightAndALevel) {
    const auto code = [](const std::function<void(SceneRecord&)>& spoil) {
        return codeOf(checkScene, sample::scene(), spoil);
    };
    EXPECT_EQ(code([](auto&) {}), "");
    EXPECT_EQ(code([](auto& s) { s.name = ""; }), "scene-invalid name");
    EXPECT_EQ(code([](auto& s) { s.light = ""; }), "scene-invalid light");
    for (const double lux : {0.0, -1.0, kInfinity, std::nan("")}) {
        EXPECT_EQ(code([&](auto& s) { s.lux = lux; }), "scene-invalid lux");
    }
    EXPECT_EQ(code([](auto& s) { s.glazing = " "; }), "scene-invalid glazing");
    EXPECT_EQ(code([](auto& s) { s.when = ""; }), "time-invalid time");
}

TEST(Glazing, LetsThroughAFraction) {
    const auto code = [](const std::function<void(GlazingRecord&)>& spoil,
                         ErrorKind kind = ErrorKind::badInput) {
        return codeOf(checkGlazing, sample::glazing().glazing, spoil, kind);
    };
    EXPECT_EQ(code([](auto&) {}), "");
    EXPECT_EQ(code([](auto& g) { g.name = ""; }, ErrorKind::wrongUse), "glazing-invalid name");
    EXPECT_EQ(code([](auto& g) { g.grid.count = 0; }), "glazing-invalid glass.txt: wavelengths");
    EXPECT_EQ(code([](auto& g) { g.transmittance.pop_back(); }), "glazing-invalid glass.txt: transmittance");
    for (const double value : {92.0, 1.11, -0.11, kInfinity, std::nan("")}) {
        EXPECT_EQ(code([&](auto& g) { g.transmittance[1] = value; }),
                  "glazing-invalid glass.txt: transmittance");
    }
    EXPECT_EQ(code([](auto& g) { g.transmittance = {0, 0, 0}; }), "glazing-invalid glass.txt: transmittance");
    EXPECT_EQ(code([](auto& g) { g.when = ""; }, ErrorKind::wrongUse), "time-invalid time");
    GlazingRecord glazing = sample::glazing().glazing;
    glazing.transmittance[2] = 92;
    EXPECT_EQ(checkGlazing(glazing).error().what, "92 at 400.5 nm does not lie between 0 and 1");
}

// The ends of the ranges are inside. Source: CIE 170-1:2006, ages and fields of its formulas, from memory.
TEST(Viewer, HasEyesThatTheFormulasKnow) {
    const auto code = [](const std::function<void(ViewerRecord&)>& spoil) {
        return codeOf(checkViewer, sample::viewer(), spoil);
    };
    EXPECT_EQ(code([](auto&) {}), "");
    EXPECT_EQ(code([](auto& v) { v.name = "x "; }), "viewer-invalid name");
    for (const double age : {20.0, 80.0}) EXPECT_EQ(code([&](auto& v) { v.ageYears = age; }), "");
    for (const double age : {0.0, 19.9, 80.1, std::nan("")}) {
        EXPECT_EQ(code([&](auto& v) { v.ageYears = age; }), "viewer-invalid age");
    }
    for (const double field : {1.0, 10.0}) EXPECT_EQ(code([&](auto& v) { v.fieldDegrees = field; }), "");
    for (const double field : {0.9, 10.1, std::nan("")}) {
        EXPECT_EQ(code([&](auto& v) { v.fieldDegrees = field; }), "viewer-invalid field");
    }
    EXPECT_EQ(code([](auto& v) { v.thresholdBeside.reset(); }), "");
    for (const double threshold : {0.0, -1.0, kInfinity, std::nan("")}) {
        EXPECT_EQ(code([&](auto& v) { v.thresholdBeside = threshold; }), "viewer-invalid threshold-beside");
        EXPECT_EQ(code([&](auto& v) { v.thresholdAlone = threshold; }), "viewer-invalid threshold-alone");
    }
    EXPECT_EQ(code([](auto& v) { v.when = ""; }), "time-invalid time");
}

}  // namespace
}  // namespace greywright::book
