#include "stage.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "colour/difference.h"
#include "core/numbers.h"
#include "measure/write.h"

namespace greywright::acceptance {
namespace {

std::string delimited(const measure::Reading& reading, char separator) {
    const bool spectral = reading.isSpectral();
    std::string out = fmt::format("NAME{0}TONE{0}LAB_L{0}LAB_A{0}LAB_B", separator);
    const std::size_t bands = spectral ? reading.grid->count : 0;
    for (std::size_t i = 0; i < bands; ++i)
        out += fmt::format("{}SPECTRAL_NM{}", separator, textFromNumber(reading.grid->atNm(i)));
    out += '\n';
    int row = 0;
    for (const measure::Patch& patch : reading.patches) {
        out += fmt::format("p{}", ++row);
        for (const double value : {*patch.tonePercent, patch.lab->L, patch.lab->a, patch.lab->b})
            out += separator + textFromNumber(value);
        for (std::size_t i = 0; i < bands; ++i) out += separator + textFromNumber(patch.reflectance[i]);
        out += '\n';
    }
    return out;
}

std::string cxf(const measure::Reading& reading) {
    std::string out =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<CxF xmlns=\"http://colorexchangeformat.com/CxF3-core\">\n<Resources><ObjectCollection>\n";
    int row = 0;
    for (const measure::Patch& patch : reading.patches) {
        ++row;
        std::string values;
        if (reading.isSpectral()) {
            values = "<ReflectanceSpectrum ColorSpecification=\"s\">";
            for (const double value : patch.reflectance) values += textFromNumber(value) + " ";
            values += "</ReflectanceSpectrum>";
        } else {
            values = fmt::format(
                "<ColorCIELab ColorSpecification=\"s\"><L>{}</L><A>{}</A><B>{}</B></ColorCIELab>",
                textFromNumber(patch.lab->L), textFromNumber(patch.lab->a), textFromNumber(patch.lab->b));
        }
        out += fmt::format(
            "<Object ObjectType=\"Target\" Name=\"p{0}\" Id=\"o{0}\"><ColorValues>{1}</ColorValues>"
            "<DeviceColorValues><ColorCMYK ColorSpecification=\"s\"><Cyan>0</Cyan><Magenta>0</Magenta>"
            "<Yellow>0</Yellow><Black>{2}</Black></ColorCMYK></DeviceColorValues></Object>\n",
            row, values, textFromNumber(*patch.tonePercent));
    }
    out +=
        "</ObjectCollection><ColorSpecificationCollection><ColorSpecification Id=\"s\"><TristimulusSpec>"
        "<Illuminant>D50</Illuminant><Observer>2_Degree</Observer></TristimulusSpec><MeasurementSpec>"
        "<MeasurementType>Spectrum_Reflectance</MeasurementType>";
    if (reading.isSpectral()) {
        out += fmt::format("<WavelengthRange StartWL=\"{}\" Increment=\"{}\"/>",
                           textFromNumber(reading.grid->startNm), textFromNumber(reading.grid->stepNm));
    }
    return out +
           "<Device><DeviceIllumination>M1</DeviceIllumination></Device></MeasurementSpec>"
           "</ColorSpecification></ColorSpecificationCollection></Resources></CxF>\n";
}

}  // namespace

std::string sheetText(const measure::Reading& reading, Format format, bool withSpectra) {
    measure::Reading taken = reading;
    if (!withSpectra) {
        taken.grid.reset();
        for (measure::Patch& patch : taken.patches) patch.reflectance.clear();
    }
    switch (format) {
        case Format::cgats:
            return measure::cgatsFromReading(taken);
        case Format::csv:
            return delimited(taken, ',');
        case Format::tsv:
            return delimited(taken, '\t');
        case Format::cxf:
            return cxf(taken);
    }
    return {};
}

std::string settingText(const Json& setting) {
    std::string text;
    for (const auto& [axis, value] : setting.items()) {
        text += fmt::format("{}{}={}", text.empty() ? "" : ",", axis, textFromNumber(value.get<double>()));
    }
    return text;
}

std::string settingText(const std::vector<steer::TintAxis>& axes, const steer::Setting& setting) {
    Json values = Json::object();
    for (std::size_t j = 0; j < axes.size(); ++j) values[axes[j].name] = setting[j];
    return settingText(values);
}

std::vector<double> fullRamp() {
    std::vector<double> tones;
    for (int i = 0; i <= 20; ++i) tones.push_back(i / 20.0);
    return tones;
}

Driver::Driver(const simulate::Recipe& recipe, std::vector<steer::TintAxis> axes)
    : printer_(simulate::printerFromRecipe(recipe)),
      axes_(std::move(axes)),
      grid_(axes_),
      random_(recipe.seed * 977 + recipe.paper) {}

measure::Reading Driver::print(const steer::Setting& setting, const std::vector<double>& tones) {
    return printer_->print(tones, grid_.deflection(setting), random_);
}

measure::Reading Driver::printAsAsked(const Json& setting, const std::vector<double>& tones) {
    return print(settingFrom(setting), tones);
}

steer::Setting Driver::settingFrom(const Json& setting) const {
    steer::Setting out;
    for (const steer::TintAxis& axis : axes_) out.push_back(setting.at(axis.name).get<double>());
    return out;
}

double Driver::worst(const steer::Setting& setting) const {
    const std::vector<double> deflection = grid_.deflection(setting);
    const colour::Lab paper = printer_->lab(0, deflection);
    const double blackL = printer_->lab(1, deflection).L;
    double worst = 0;
    for (const double tone : fullRamp()) {
        if (tone < 0.049) continue;
        const colour::Lab lab = printer_->lab(tone, deflection);
        const double keep = 1 - 0.85 * (paper.L - lab.L) / (paper.L - blackL);
        worst = std::max(worst, colour::deltaE2000(lab, {lab.L, paper.a * keep, paper.b * keep}));
    }
    return worst;
}

double Driver::leastWorst(long stride) const {
    steer::SettingGrid::Steps steps(axes_.size(), 0);
    steer::SettingGrid::Steps best = steps;
    double least = worst(grid_.setting(steps));
    const auto consider = [&](const steer::SettingGrid::Steps& candidate) {
        const double there = worst(grid_.setting(candidate));
        if (there >= least) return false;
        least = there;
        best = candidate;
        return true;
    };
    for (bool more = true; more;) {
        consider(steps);
        more = false;
        for (std::size_t j = 0; j < steps.size() && !more; ++j) {
            steps[j] += stride;
            more = steps[j] < grid_.count(j);
            if (!more) steps[j] = 0;
        }
    }
    for (bool moved = true; moved;) {
        moved = false;
        for (std::size_t j = 0; j < steps.size(); ++j) {
            for (const long way : {-1L, 1L}) {
                steer::SettingGrid::Steps next = best;
                next[j] += way;
                moved = consider(grid_.clamped(next)) || moved;
            }
        }
    }
    return least;
}

std::vector<steer::TintAxis> usualAxes(std::size_t count) {
    std::vector<steer::TintAxis> axes{{"across", -50, 50, 1}, {"up", -50, 50, 1}, {"deep", -50, 50, 1}};
    axes.resize(count);
    return axes;
}

simulate::Recipe usualRecipe(std::uint64_t paper) {
    simulate::Recipe recipe{
        .family = simulate::Family::halftone, .noiseDeltaE00 = 0.15, .seed = 23, .paper = paper};
    recipe.control = {
        .rotationDegrees = 205, .mirrored = true, .gain = 1.1, .unequal = 0.8, .skewDegrees = 8};
    return recipe;
}

Studio::Studio() : book_(folder_ / "studio.book") {}

Answer Studio::ask(Words words) const {
    words.insert(words.begin(), "--json");
    return inWords(std::move(words));
}

Answer Studio::inWords(Words words) const {
    words.insert(words.begin(), {"--book", book_.string()});
    return run(words);
}

void Studio::enter(const std::string& condition, const std::vector<steer::TintAxis>& axes,
                   const std::string& paper, const std::string& mode) const {
    Words words{"condition", "add",     condition, "--printer", "Heron", "--inks",
                "pigment",   "--paper", paper,     "--mode",    mode};
    for (const steer::TintAxis& axis : axes) {
        words.emplace_back("--axis");
        words.push_back(fmt::format("{}:{}:{}:{}", axis.name, textFromNumber(axis.lowest),
                                    textFromNumber(axis.highest), textFromNumber(axis.step)));
    }
    const Answer answer = ask(words);
    ASSERT_EQ(answer.code, 0) << answer.err;
}

std::string Studio::write(const std::string& name, const std::string& bytes) const {
    const std::string file = path(name).string();
    std::ofstream stream(file, std::ios::binary);
    stream << bytes;
    stream.close();
    EXPECT_TRUE(stream.good()) << file;
    return file;
}

std::string Studio::freshName(const std::string& ending) {
    return fmt::format("sheet-{}.{}", ++files_, ending);
}

Answer Studio::read(const measure::Reading& reading, const std::string& condition, const std::string& setting,
                    Format format, const Words& more) {
    const char* ending = format == Format::cgats ? "txt"
                         : format == Format::csv ? "csv"
                         : format == Format::tsv ? "tsv"
                                                 : "cxf";
    const std::string file = write(freshName(ending), sheetText(reading, format));
    Words words{"read", file, "--condition", condition, "--setting", setting};
    words.insert(words.end(), more.begin(), more.end());
    return ask(words);
}

std::string Studio::bookBytes() const {
    std::ostringstream bytes;
    bytes << std::ifstream(book_, std::ios::binary).rdbuf();
    return bytes.str();
}

Ending playToTheEnd(Studio& studio, Driver& driver, const std::string& condition, int most,
                    const std::vector<double>& tones, bool withSpectra) {
    constexpr Format kFormats[] = {Format::cgats, Format::csv, Format::tsv, Format::cxf};
    constexpr const char* kEndings[] = {"txt", "csv", "tsv", "cxf"};
    Ending ending;
    for (;;) {
        const Answer asked = studio.ask({"steer", "--condition", condition});
        ending.steer = asked.json();
        if (asked.code != 0 || !ending.steer.is_object()) {
            ADD_FAILURE() << asked.code << " " << asked.err << asked.out;
            return ending;
        }
        if (ending.steer.at("status") != "print" || ending.sheets == most) return ending;
        // Every sheet in another format: what is measured must not depend on it.
        const auto turn = static_cast<std::size_t>(ending.sheets) % 4;
        const measure::Reading reading = driver.printAsAsked(ending.steer.at("setting"), tones);
        const std::string setting = settingText(ending.steer.at("setting"));
        const std::string file =
            studio.write(studio.freshName(kEndings[turn]), sheetText(reading, kFormats[turn], withSpectra));
        const Answer read = studio.ask({"read", file, "--condition", condition, "--setting", setting});
        if (read.code != 0) {
            ADD_FAILURE() << read.code << " " << read.err << read.out;
            return ending;
        }
        ending.read.emplace_back(file, setting);
        ++ending.sheets;
    }
}

}  // namespace greywright::acceptance
