#include "colour/lamps.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "colour/rendering.h"
#include "core/numbers.h"

namespace greywright::colour {
namespace {

Light lamp(std::string_view name) {
    return lampByName(name).value();
}

double powerAt(const Light& light, double nm) {
    return light.power.values[static_cast<std::size_t>(nm - kFineGrid.startNm)];
}

std::vector<std::string> cells(const std::string& line) {
    std::vector<std::string> parts;
    std::istringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) {
        parts.push_back(cell.substr(cell.find_first_not_of(' ')));
    }
    return parts;
}

// The words stand in the code, the figures in the table: the order and the places must be the same.
TEST(Lamps, TheWordsBelongToTheColumns) {
    std::ifstream file(std::filesystem::path(GREYWRIGHT_SOURCE_DIR) / "data" / "measured_lamps.csv");
    ASSERT_TRUE(file);
    const std::string places = "# Lamp of the collection (from 1): ";
    std::vector<std::string> collected;
    std::string line;
    while (std::getline(file, line) && line.starts_with('#')) {
        if (line.starts_with(places)) collected = cells(line.substr(places.size()));
    }
    std::vector<std::string> header = cells(line);
    header.erase(header.begin());
    const auto names = lampNames();
    EXPECT_EQ(names, header);
    ASSERT_EQ(collected.size(), names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
        EXPECT_NE(lamp(names[i]).origin.find("lamp " + collected[i] + " of 401"), std::string::npos)
            << names[i];
    }
}

TEST(Lamps, NamesAreShortAndTheirOwn) {
    std::set<std::string> seen;
    for (std::string name : lightNames()) {
        for (char& c : name) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        EXPECT_TRUE(seen.insert(name).second) << name << " twice";
    }
    for (const std::string& name : lampNames()) {
        EXPECT_EQ(name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-"), std::string::npos) << name;
        EXPECT_LE(name.size(), 22U) << name;
        const bool mayBeATemperature = (name[0] == 'd' || name[0] == 'p') &&
                                       name.find_first_not_of("0123456789", 1) == std::string::npos;
        EXPECT_FALSE(mayBeATemperature) << name;
        EXPECT_EQ(lightByName(name).value().description, lamp(name).description);
    }
    EXPECT_FALSE(lampByName("led"));
    EXPECT_FALSE(lampByName(""));
}

// Source: what the collection's labels say of these lamps: a nominal temperature, or the three-digit colour
// code of fluorescent lamps (830 = Ra 80 to 89, 3000 K; common practice). The ranges of a nominal temperature
// are those of ANSI C78.377-2015, table 1 (from memory); that of 4000 K holds 4100 K too, that of 5000 K is
// used for the booth lamp.
TEST(Lamps, AreWhatTheirLabelsClaim) {
    const struct {
        const char* name;
        double leastK, mostK, leastRa, mostRa;
    } rows[] = {
        {"led-warm-82", 2580, 2870, 0, 100},      {"led-gallery-97", 2870, 3220, 0, 100},
        {"led-warm-93", 2870, 3220, 0, 100},      {"led-violet-96", 2870, 3220, 0, 100},
        {"tube-warm-85", 2870, 3220, 80, 90},     {"tube-neutral-84", 3710, 4260, 80, 90},
        {"tube-gallery-95", 2870, 3220, 90, 100}, {"tube-broadband-90", 4745, 5311, 0, 100},
        {"metal-halide-87", 2870, 3220, 0, 100},
    };
    for (const auto& row : rows) {
        const LightFigures figures = figuresOf(lamp(row.name));
        ASSERT_TRUE(figures.temperature && figures.ra) << row.name;
        EXPECT_GE(figures.temperature->kelvin, row.leastK) << row.name;
        EXPECT_LE(figures.temperature->kelvin, row.mostK) << row.name;
        EXPECT_GE(*figures.ra, row.leastRa) << row.name;
        EXPECT_LE(*figures.ra, row.mostRa) << row.name;
    }
}

// A number in a name is Ra to the nearest whole.
TEST(Lamps, TheNumberInANameIsItsRa) {
    std::size_t numbered = 0;
    for (const std::string& name : lampNames()) {
        const auto ra = numberFromText(std::string_view(name).substr(name.rfind('-') + 1));
        if (!ra) continue;
        ++numbered;
        EXPECT_NEAR(figuresOf(lamp(name)).ra.value(), *ra, 0.5) << name;
    }
    EXPECT_EQ(numbered, 17U);
}

// Laws of what a lamp is made of; they would catch a wrong column.
// Source: a filament is close to a black body; mercury's lines are at 435.8 and 546.1 nm; neodymium absorbs
// at 585 nm; a blue LED pumps at 440 to 465 nm, a violet one at 400 to 420 nm (common practice).
TEST(Lamps, ShowWhatTheyAreMadeOf) {
    for (const char* name : {"incandescent", "halogen"}) {
        const LightFigures figures = figuresOf(lamp(name));
        EXPECT_GT(figures.ra.value(), 99) << name;
        EXPECT_NEAR(figures.temperature.value().duv, 0, 0.001) << name;
        EXPECT_GT(powerAt(lamp(name), 700), powerAt(lamp(name), 600)) << name;
    }
    const Light neodymium = lamp("incandescent-neodymium");
    EXPECT_LT(powerAt(neodymium, 585), 0.5 * powerAt(neodymium, 560));
    for (const std::string& name : lampNames()) {
        const Light light = lamp(name);
        const double peak = *std::max_element(light.power.values.begin(), light.power.values.end());
        EXPECT_EQ(peak, 100) << name;
        if (name.starts_with("tube") || name.starts_with("fluorescent")) {
            EXPECT_GT(powerAt(light, 435), 1.5 * powerAt(light, 425)) << name;
            EXPECT_GT(powerAt(light, 545), 1.5 * powerAt(light, 535)) << name;
        } else if (name == "led-violet-96" || name == "led-daylight-98") {
            EXPECT_GT(powerAt(light, 410), powerAt(light, 440)) << name;
        } else if (name.starts_with("led")) {
            EXPECT_LT(powerAt(light, 400), 1) << name;
            EXPECT_GT(powerAt(light, 450), 2 * powerAt(light, 425)) << name;
        }
    }
}

TEST(Lamps, AreLinearBetweenNodesAndUnknownBelowTheirTable) {
    const Light halogen = lamp("halogen");
    EXPECT_EQ(powerAt(halogen, 380), 3.1192) << "data/measured_lamps.csv";
    EXPECT_NEAR(powerAt(halogen, 382), 0.6 * 3.1192 + 0.4 * 3.6648, 1e-12);
    EXPECT_EQ(powerAt(halogen, 379), 0);
    EXPECT_EQ(powerAt(halogen, 781), 0);
    for (const std::string& name : lampNames()) EXPECT_TRUE(lamp(name).ultraviolet.empty()) << name;
}

}  // namespace
}  // namespace greywright::colour
