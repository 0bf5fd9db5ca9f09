#include "measure/cxf.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <unordered_map>

#include <fmt/format.h>

#include "core/numbers.h"
#include "core/said.h"
#include "measure/settle.h"
#include "measure/xml_document.h"

namespace greywright::measure {
namespace {

using colour::WavelengthGrid;

constexpr const char* kExportAgain = toSay("Export the measurement again as CxF3");

/// A ColorSpecification: how the values that refer to it were measured and computed.
struct Specification {
    std::string measurementType = {};
    std::optional<double> startNm = {};
    std::optional<double> incrementNm = {};
    Statements statements = {};
    std::vector<Note> notes = {};  // about the statements; told when the specification is used
};

/// One set of values of one object.
struct Value {
    std::size_t object = 0;
    const Specification* specification = nullptr;
    pugi::xml_node node = {};
    std::string_view kind = {};
    Condition condition = Condition::unknown;
};

struct DeviceValues {
    bool isRgb = false;
    std::vector<double> values = {};

    bool operator==(const DeviceValues&) const = default;
};

struct Object {
    pugi::xml_node node = {};
    std::string_view type = {};
    std::optional<DeviceValues> device = {};
};

class CxfReader {
  public:
    CxfReader(const CxfDocument& document, const Source& source, std::vector<Note> notes, Condition preferred)
        : document_(document), source_(source), preferred_(preferred) {
        raw_.notes = std::move(notes);
        raw_.format = "CxF3";
    }

    Result<Reading> read() {
        const pugi::xml_node resources = document_.child(document_.root(), "Resources");
        if (auto taken = takeSpecifications(resources); !taken) return std::move(taken).error();
        if (auto taken = takeObjects(document_.child(resources, "ObjectCollection")); !taken) {
            return std::move(taken).error();
        }
        const bool spectral = !spectra_.empty();
        if (!spectral && colours_.empty()) return nothingMeasured();
        const std::vector<Value> chosen = valuesOfOneCondition(spectral ? spectra_ : colours_);
        auto taken = spectral ? takeSpectra(chosen) : takeColours(chosen);
        if (!taken) return std::move(taken).error();
        takeDeviceValues();
        const pugi::xml_node information = document_.child(document_.root(), "FileInformation");
        raw_.statements.created = cleanText(document_.childText(information, "CreationDate"));
        return settled(std::move(raw_), source_);
    }

  private:
    Error refusal(std::string code, std::string what, const pugi::xml_node& node,
                  const std::string& next = translated(kExportAgain), std::string field = {}) const {
        if (field.empty()) field = std::string(document_.nameOf(node));
        return source_.refusal(std::move(code), std::move(what), next, document_.lineOf(node),
                               std::move(field));
    }

    Error nothingMeasured() const {
        if (otherKind_) {
            return refusal("not-reflectance", said("holds spectra, but none was measured in reflection"),
                           otherKind_, said("Give the measurement of a printed sheet"));
        }
        return refusal("no-measurement", said("holds neither spectra nor CIELAB"), document_.root(),
                       said("Export the measurement with spectra or CIELAB"));
    }

    // --- specifications ---

    Outcome takeSpecifications(const pugi::xml_node& resources) {
        for (const pugi::xml_node& node :
             document_.child(resources, "ColorSpecificationCollection").children()) {
            if (document_.nameOf(node) != "ColorSpecification") continue;
            const std::string id = node.attribute("Id").value();
            auto specification = specificationFrom(node);
            if (!specification) return specification.error();
            if (!specifications_.emplace(id, *std::move(specification)).second) {
                return refusal("specification-twice", said("gives the specification {} twice", shown(id)),
                               node);
            }
        }
        return Done{};
    }

    Result<Specification> specificationFrom(const pugi::xml_node& node) {
        Specification specification;
        const std::size_t line = document_.lineOf(node);
        const pugi::xml_node tristimulus = document_.child(node, "TristimulusSpec");
        const pugi::xml_node measurement = document_.child(node, "MeasurementSpec");
        const pugi::xml_node device = document_.child(measurement, "Device");
        specification.measurementType = document_.childText(measurement, "MeasurementType");
        std::vector<HeaderEntry> header;
        const auto add = [&](const char* keyword, const std::string& value) {
            if (!value.empty()) header.push_back({keyword, cleanText(value), line});
        };
        add("Illuminant", document_.childText(tristimulus, "Illuminant"));
        if (document_.child(tristimulus, "CustomIlluminant")) add("Illuminant", "CUSTOM");
        add("Observer", document_.childText(tristimulus, "Observer"));
        const std::string illumination = document_.childText(device, "DeviceIllumination");
        std::string filter = document_.childText(device, "DeviceFilter");
        if (filter.starts_with("Filter_")) filter.erase(0, 7);
        add("MEASUREMENT_CONDITION", illumination);
        // An instrument may leave ultraviolet out, or polarise, without a filter.
        if (filter != "None" || conditionNamedIn(illumination) == Condition::unknown) add("FILTER", filter);
        const std::string polarised = upper(document_.childText(device, "DevicePolarization"));
        if (polarised == "TRUE" || polarised == "YES" || polarised == "1") add("POLARIZATION", "YES");
        const std::string maker = document_.childText(device, "Manufacturer");
        const std::string model = document_.childText(device, "Model");
        add("INSTRUMENT", std::string(trimmed(maker + " " + model)));
        specification.statements = statementsFromHeader(header, specification.notes);
        const pugi::xml_node range = document_.child(measurement, "WavelengthRange");
        for (auto& [name, number] :
             {std::pair{"StartWL", &specification.startNm}, {"Increment", &specification.incrementNm}}) {
            const pugi::xml_attribute attribute = range.attribute(name);
            if (!attribute) continue;
            *number = numberFromText(trimmed(attribute.value()));
            if (!*number) {
                return refusal("not-a-number", said("{} is not a number", shown(attribute.value())), range,
                               kExportAgain, name);
            }
        }
        return specification;
    }

    // --- objects ---

    Outcome takeObjects(const pugi::xml_node& collection) {
        for (const pugi::xml_node& node : collection.children()) {
            if (document_.nameOf(node) != "Object") continue;
            objects_.push_back({.node = node, .type = node.attribute("ObjectType").value()});
            if (auto taken = takeValues(objects_.size() - 1); !taken) return taken;
            if (auto taken = takeDevice(objects_.back()); !taken) return taken;
        }
        return Done{};
    }

    Outcome takeValues(std::size_t index) {
        const Object& object = objects_[index];
        for (const pugi::xml_node& node : document_.child(object.node, "ColorValues").children()) {
            const std::string_view kind = document_.nameOf(node);
            const bool spectral = kind == "ReflectanceSpectrum" || kind == "CustomSpectrum";
            const bool colour = kind == "ColorCIELab" || kind == "ColorCIELCh" || kind == "ColorCIEXYZ";
            if (kind == "TransmittanceSpectrum" || kind == "EmissiveSpectrum") otherKind_ = node;
            if (!spectral && !colour) continue;
            const std::string id = node.attribute("ColorSpecification").value();
            const auto found = specifications_.find(id);
            if (found == specifications_.end()) {
                return refusal(
                    "specification-missing",
                    said("refers to the specification {}, which the file does not hold", shown(id)), node,
                    kExportAgain, "ColorSpecification");
            }
            const Specification& specification = found->second;
            const std::string& type = specification.measurementType;
            const bool reflective = type.find("Reflectance") != std::string::npos ||
                                    (kind == "CustomSpectrum" && type == "Spectrum_Custom") ||
                                    (colour && type.empty());
            if (!reflective) {
                otherKind_ = node;
                continue;
            }
            Condition condition = specification.statements.condition;
            const Condition named = conditionNamedIn(object.type);
            if (condition == Condition::unknown) condition = named;
            if (named != Condition::unknown && named != condition) condition = Condition::unknown;
            (spectral ? spectra_ : colours_).push_back({index, &specification, node, kind, condition});
        }
        return Done{};
    }

    /// One condition only, and aims ("Target") only when nothing else is there.
    std::vector<Value> valuesOfOneCondition(const std::vector<Value>& all) {
        std::vector<Value> measured;
        std::ranges::copy_if(all, std::back_inserter(measured),
                             [&](const Value& value) { return objects_[value.object].type != "Target"; });
        if (measured.empty()) {
            measured = all;
            raw_.notes.push_back(
                {"targets-only", said("every measured object is called a target; they were read as "
                                      "the measurement")});
        }
        std::array<std::size_t, 5> counts{};
        for (const Value& value : measured) ++counts[static_cast<std::size_t>(value.condition)];
        Condition chosen = Condition::unknown;
        std::string held;
        for (const Condition each :
             {preferred_, Condition::m1, Condition::m0, Condition::m2, Condition::m3, Condition::unknown}) {
            if (counts[static_cast<std::size_t>(each)] == 0) continue;
            if (held.empty()) chosen = each;
            if (held.find(textFromCondition(each)) != std::string::npos) continue;
            held += (held.empty() ? "" : ", ") + std::string(textFromCondition(each));
        }
        if (counts[static_cast<std::size_t>(chosen)] < measured.size()) {
            raw_.notes.push_back(
                {"several-conditions", said("the file holds measurements in {}; those in {} were read", held,
                                            textFromCondition(chosen))});
        }
        std::erase_if(measured, [&](const Value& value) { return value.condition != chosen; });
        takeStatements(*measured.front().specification, chosen);
        return measured;
    }

    void takeStatements(const Specification& specification, Condition condition) {
        raw_.statements = specification.statements;
        for (const Note& note : specification.notes) {
            if (condition == Condition::unknown || !note.code.starts_with("condition-")) {
                raw_.notes.push_back(note);
            }
        }
        raw_.statements.condition = condition;
    }

    RawPatch patchOf(std::size_t object) const {
        const pugi::xml_node& node = objects_[object].node;
        std::string name = cleanText(node.attribute("Name").value());
        if (name.empty()) name = cleanText(node.attribute("Id").value());
        return {.name = std::move(name), .line = document_.lineOf(node)};
    }

    // --- spectra ---

    Outcome takeSpectra(const std::vector<Value>& values) {
        raw_.scale = SpectralScale::fraction;
        for (const Value& value : values) {
            if (!measuredObjects_.empty() && measuredObjects_.back() == value.object) {
                return refusal("spectra-ambiguous",
                               said("gives two spectra of one object in the same measurement condition"),
                               value.node);
            }
            measuredObjects_.push_back(value.object);
            raw_.patches.push_back(patchOf(value.object));
            RawPatch& patch = raw_.patches.back();
            auto grid = value.kind == "CustomSpectrum" ? takePoints(value, patch.spectrum)
                                                       : takeList(value, patch.spectrum);
            if (!grid) return grid.error();
            if (!raw_.grid) raw_.grid = *grid;
            if (*raw_.grid == *grid) continue;
            return refusal("bands-vary",
                           said("this spectrum has {} values from {:.6g} nm, the first has {} from {:.6g} "
                                "nm",
                                grid->count, grid->startNm, raw_.grid->count, raw_.grid->startNm),
                           value.node);
        }
        return takeOwnLab();
    }

    Result<WavelengthGrid> takeList(const Value& value, std::vector<double>& spectrum) {
        const Specification& specification = *value.specification;
        std::optional<double> startNm = specification.startNm;
        if (const pugi::xml_attribute attribute = value.node.attribute("StartWL")) {
            const auto own = numberFromText(trimmed(attribute.value()));
            if (!own) {
                return refusal("not-a-number", said("{} is not a wavelength", shown(attribute.value())),
                               value.node, kExportAgain, "StartWL");
            }
            if (startNm && *startNm != *own) {
                return refusal("wavelengths-contradictory",
                               said("begins at {:.6g} nm, its specification says {:.6g} nm", *own, *startNm),
                               value.node, kExportAgain, "StartWL");
            }
            startNm = own;
        }
        if (!startNm || !specification.incrementNm) {
            return refusal("wavelengths-unknown",
                           said("does not say at which wavelengths its values are (no WavelengthRange)"),
                           value.node, said("Export the measurement with its wavelength range"));
        }
        const bool possible = *startNm >= 200 && *startNm <= 2500 && *specification.incrementNm >= 0.1 &&
                              *specification.incrementNm <= 100;
        if (!possible) {
            return refusal("wavelengths-contradictory",
                           said("steps of {:.6g} nm from {:.6g} nm are no visible spectrum",
                                *specification.incrementNm, *startNm),
                           value.node);
        }
        std::string text = CxfDocument::textOf(value.node);
        std::ranges::replace_if(
            text, [](char c) { return c == '\n' || c == '\r'; }, ' ');
        std::vector<std::string_view> tokens;
        (void)splitTokens(text, tokens);
        for (const std::string_view token : tokens) {
            const auto number = numberFromText(token);
            if (!number) {
                return refusal("not-a-number", said("{} is not a number", shown(token)), value.node);
            }
            spectrum.push_back(*number);
        }
        if (spectrum.size() < 10 || spectrum.size() > kMostColumns) {
            return refusal("spectrum-too-few-bands", said("has {} spectral values", spectrum.size()),
                           value.node,
                           said("Export the whole spectrum, 400 to 700 nm in steps of 10 nm or finer"));
        }
        return WavelengthGrid{*startNm, *specification.incrementNm, spectrum.size()};
    }

    Result<WavelengthGrid> takePoints(const Value& value, std::vector<double>& spectrum) {
        std::map<double, double> points;
        for (const pugi::xml_node& node : value.node.children()) {
            if (document_.nameOf(node) != "SpectralPoint") continue;
            const auto nm = numberFromText(trimmed(node.attribute("WL").value()));
            const auto number = numberFromText(CxfDocument::textOf(node));
            if (!nm || !number || *nm < 200 || *nm > 2500) {
                return refusal("not-a-number", said("this point is not a wavelength and a number"), node);
            }
            if (!points.emplace(*nm, *number).second) {
                return refusal("duplicate-wavelength", said("gives {:.6g} nm twice", *nm), node);
            }
            if (points.size() > kMostColumns) break;
        }
        std::vector<double> nm;
        for (const auto& [wavelength, number] : points) {
            nm.push_back(wavelength);
            spectrum.push_back(number);
        }
        std::vector<Note> repeated;
        if (!raw_.grid && value.specification->measurementType == "Spectrum_Custom") {
            raw_.notes.push_back(
                {"spectrum-kind-assumed", said("the file calls its spectra custom; they were taken for "
                                               "reflectances")});
        }
        return gridFromWavelengths(nm, source_, document_.lineOf(value.node),
                                   raw_.grid ? repeated : raw_.notes);
    }

    /// CIELAB beside the spectra, for the comparison: that for D50 and 2 degrees where there are several.
    Outcome takeOwnLab() {
        std::unordered_map<std::size_t, const Value*> best;
        for (const Value& value : colours_) {
            if (value.kind != "ColorCIELab" || value.condition != raw_.statements.condition) continue;
            const Value*& known = best[value.object];
            const bool better =
                known == nullptr || (!known->specification->statements.white.mayBeD50TwoDegrees() &&
                                     value.specification->statements.white.mayBeD50TwoDegrees());
            if (better) known = &value;
        }
        for (std::size_t i = 0; i < raw_.patches.size(); ++i) {
            const auto found = best.find(measuredObjects_[i]);
            if (found == best.end()) continue;
            const WhiteStatement& white = found->second->specification->statements.white;
            if (i == 0) raw_.statements.white = white;
            if (white.text() != raw_.statements.white.text()) continue;
            if (auto taken = takeColour(*found->second, raw_.patches[i]); !taken) return taken;
        }
        return Done{};
    }

    // --- colours without spectra ---

    Outcome takeColours(const std::vector<Value>& values) {
        for (const Value& value : values) {
            const WhiteStatement& white = value.specification->statements.white;
            const bool again = !measuredObjects_.empty() && measuredObjects_.back() == value.object;
            if (again && whites_.back()->mayBeD50TwoDegrees()) continue;
            if (again && !white.mayBeD50TwoDegrees()) continue;
            if (!again) {
                measuredObjects_.push_back(value.object);
                raw_.patches.push_back(patchOf(value.object));
                whites_.push_back(nullptr);
            }
            whites_.back() = &white;
            raw_.patches.back().lab.reset();
            raw_.patches.back().xyz.reset();
            if (auto taken = takeColour(value, raw_.patches.back()); !taken) return taken;
        }
        raw_.statements.white = *whites_.front();
        // The least certain white stands for all: settled() refuses what is not D50 and 2 degrees.
        for (const WhiteStatement* white : whites_) {
            const WhiteStatement& known = raw_.statements.white;
            const bool worse = (known.mayBeD50TwoDegrees() && !white->mayBeD50TwoDegrees()) ||
                               (known.isD50TwoDegrees() && !white->isD50TwoDegrees());
            if (worse) raw_.statements.white = *white;
        }
        return Done{};
    }

    Outcome takeColour(const Value& value, RawPatch& patch) const {
        static constexpr std::array kLab{"L", "A", "B"};
        static constexpr std::array kLch{"L", "C", "H"};
        static constexpr std::array kXyz{"X", "Y", "Z"};
        const auto& names = value.kind == "ColorCIELab" ? kLab : value.kind == "ColorCIELCh" ? kLch : kXyz;
        std::array<double, 3> three{};
        for (std::size_t i = 0; i < 3; ++i) {
            if (auto taken = takeNumber(value.node, names[i], three[i]); !taken) return taken;
        }
        if (value.kind == "ColorCIEXYZ") {
            patch.xyz = colour::Xyz{three[0], three[1], three[2]};
        } else if (value.kind == "ColorCIELab") {
            patch.lab = colour::Lab{three[0], three[1], three[2]};
        } else {
            const double angle = three[2] * std::numbers::pi / 180;
            patch.lab = colour::Lab{three[0], three[1] * std::cos(angle), three[1] * std::sin(angle)};
        }
        return Done{};
    }

    Outcome takeNumber(const pugi::xml_node& parent, const char* name, double& number) const {
        const std::string text = document_.childText(parent, name);
        const auto found = numberFromText(text);
        if (!found) {
            return refusal(
                "not-a-number",
                text.empty() ? said("a number {} is missing", name) : said("{} is not a number", shown(text)),
                parent, kExportAgain, name);
        }
        number = *found;
        return Done{};
    }

    // --- device values ---

    Outcome takeDevice(Object& object) {
        for (const pugi::xml_node& node : document_.child(object.node, "DeviceColorValues").children()) {
            const std::string_view kind = document_.nameOf(node);
            if (object.device || (kind != "ColorRGB" && kind != "ColorCMYK")) continue;
            DeviceValues device{.isRgb = kind == "ColorRGB"};
            double factor = 1;
            if (const pugi::xml_attribute range = node.attribute("MaxRange"); device.isRgb && range) {
                const auto most = numberFromText(trimmed(range.value()));
                if (!most || *most < 1) {
                    return refusal("not-a-number", said("{} is no range", shown(range.value())), node,
                                   kExportAgain, "MaxRange");
                }
                factor = 255 / *most;
            }
            static const std::vector<const char*> kRgb{"R", "G", "B"};
            static const std::vector<const char*> kCmyk{"Cyan", "Magenta", "Yellow", "Black"};
            for (const char* name : device.isRgb ? kRgb : kCmyk) {
                double number = 0;
                if (auto taken = takeNumber(node, name, number); !taken) return taken;
                device.values.push_back(number * factor);
            }
            object.device = std::move(device);
        }
        return Done{};
    }

    /// The places on the sheet that an object names, most telling first: measured and sent values are joined
    /// by them.
    std::vector<std::string> placesOf(const pugi::xml_node& object) const {
        std::map<std::string, std::string> tags;
        for (const pugi::xml_node& collection : object.children()) {
            if (document_.nameOf(collection) != "TagCollection") continue;
            for (const pugi::xml_node& tag : collection.children()) {
                if (document_.nameOf(tag) != "Tag") continue;
                const pugi::xml_attribute value = tag.attribute("Value");
                tags[bareName(tag.attribute("Name").value())] =
                    value ? value.value() : CxfDocument::textOf(tag);
            }
        }
        std::vector<std::string> places;
        if (tags.contains("ROW") && tags.contains("COLUMN")) {
            places.push_back(fmt::format("{}/{}/{}", tags["PAGE"], tags["ROW"], tags["COLUMN"]));
        }
        if (tags.contains("SAMPLEID")) places.push_back("id " + tags["SAMPLEID"]);
        return places;
    }

    void takeDeviceValues() {
        std::unordered_map<std::string, const DeviceValues*> byPlace;
        for (const Object& object : objects_) {
            if (!object.device) continue;
            for (const std::string& place : placesOf(object.node)) {
                const auto [known, isNew] = byPlace.emplace(place, &*object.device);
                if (!isNew && known->second != nullptr && !(*known->second == *object.device)) {
                    known->second = nullptr;
                }
            }
        }
        std::vector<const DeviceValues*> found;
        for (const std::size_t index : measuredObjects_) {
            const Object& object = objects_[index];
            const DeviceValues* device = object.device ? &*object.device : nullptr;
            if (device == nullptr && !byPlace.empty()) {
                for (const std::string& place : placesOf(object.node)) {
                    const auto at = byPlace.find(place);
                    if (device == nullptr && at != byPlace.end()) device = at->second;
                }
            }
            found.push_back(device);
        }
        const auto missing = static_cast<std::size_t>(std::ranges::count(found, nullptr));
        if (missing == found.size()) return;
        const bool oneKind = missing == 0 && std::ranges::all_of(found, [&](const DeviceValues* device) {
                                 return device->isRgb == found.front()->isRgb;
                             });
        if (!oneKind) {
            raw_.notes.push_back({"device-values-incomplete",
                                  said("device values were found for {} of {} patches only, or of several "
                                       "kinds; they were left out",
                                       found.size() - missing, found.size())});
            return;
        }
        raw_.deviceColumns = found.front()->isRgb
                                 ? std::vector<std::string>{"RGB_R", "RGB_G", "RGB_B"}
                                 : std::vector<std::string>{"CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K"};
        for (std::size_t i = 0; i < found.size(); ++i) raw_.patches[i].device = found[i]->values;
    }

    const CxfDocument& document_;
    const Source& source_;
    Condition preferred_;
    std::unordered_map<std::string, Specification> specifications_;
    std::vector<Object> objects_;
    std::vector<Value> spectra_;
    std::vector<Value> colours_;
    std::vector<std::size_t> measuredObjects_;  // one per patch
    std::vector<const WhiteStatement*> whites_;
    pugi::xml_node otherKind_;
    RawReading raw_;
};

}  // namespace

Result<Reading> readingFromCxf(std::string_view bytes, const Source& source, std::vector<Note> notes,
                               Condition preferred) {
    const auto document = CxfDocument::parse(bytes, source);
    if (!document) return document.error();
    return CxfReader(*document, source, std::move(notes), preferred).read();
}

}  // namespace greywright::measure
