#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

#include "core/said.h"
#include "measure/lamp_points.h"
#include "measure/xml_parse.h"

namespace greywright::measure {
namespace {

constexpr XmlAdvice kAdvice{.exportAgain = toSay("Export the spectrum again as IES TM-27"),
                            .doctype = toSay("Remove the DOCTYPE declaration; IES TM-27 needs none")};
constexpr std::string_view kRoot = "IESTM2714";

bool isElement(const pugi::xml_node& node, std::string_view name) {
    return node.type() == pugi::node_element && xmlLocalName(node.name()) == name;
}

pugi::xml_node childOf(const pugi::xml_node& parent, std::string_view name) {
    for (const pugi::xml_node& node : parent.children()) {
        if (isElement(node, name)) return node;
    }
    return {};
}

/// What an entry of the header says; empty for the ways in which laboratories say nothing.
std::string entryOf(const pugi::xml_node& header, std::string_view name) {
    std::string text = cleanText(xmlText(childOf(header, name)));
    static constexpr std::array<std::string_view, 5> kNothing{"", "UNKNOWN", "NA", "NONE", "TBD"};
    if (std::ranges::find(kNothing, bareName(text)) != kNothing.end()) text.clear();
    return text;
}

/// Source: the quantities of IES TM-27-14 that are powers (list from memory).
bool isPowerName(std::string_view bare) {
    static constexpr std::array<std::string_view, 6> kPowers{"FLUX",     "INTENSITY", "IRRADIANCE",
                                                             "RADIANCE", "EXITANCE",  "RELATIVE"};
    return std::ranges::find(kPowers, bare) != kPowers.end();
}

Ordinate ordinateOf(const std::string& quantity) {
    using enum Ordinate::Kind;
    static constexpr std::array<std::string_view, 3> kOther{"ABSORPTANCE", "REFLECTANCE", "RFACTOR"};
    const std::string bare = bareName(quantity);
    Ordinate found = ordinateIn(quantity);
    found.quantity = quantity;
    if (isPowerName(bare)) found.kind = power;
    if (std::ranges::find(kOther, bare) != kOther.end()) found.kind = other;
    if (bare == "TRANSMITTANCE" || bare == "TFACTOR") found.kind = transmittance;
    return found;
}

class Tm27Reader {
  public:
    Tm27Reader(const pugi::xml_node& root, std::string_view text, const LampSource& source,
               std::vector<Note> notes)
        : root_(root), lines_(text), source_(source) {
        points_.notes = std::move(notes);
        points_.format = said("IES TM-27");
        points_.largestGapNm = kLargestTm27GapNm;
    }

    Result<SpectralPoints> read() {
        const pugi::xml_node header = childOf(root_, "Header");
        points_.name = entryOf(header, "Manufacturer");
        const std::string number = entryOf(header, "CatalogNumber");
        if (!points_.name.empty() && !number.empty()) points_.name += ' ';
        points_.name += number;
        points_.description = entryOf(header, "Description");
        const auto distribution = chooseDistribution();
        if (!distribution) return distribution.error();
        if (auto taken = takeData(*distribution); !taken) return std::move(taken).error();
        return std::move(points_);
    }

  private:
    Result<pugi::xml_node> chooseDistribution() {
        pugi::xml_node chosen;
        pugi::xml_node refused;
        std::string refusedQuantity;
        std::size_t count = 0;
        for (const pugi::xml_node& node : root_.children()) {
            if (!isElement(node, "SpectralDistribution")) continue;
            ++count;
            const pugi::xml_node quantity = childOf(node, "SpectralQuantity");
            Ordinate ordinate = ordinateOf(cleanText(xmlText(quantity)));
            const bool isTransmittance = ordinate.kind == Ordinate::Kind::transmittance;
            const bool wantsTransmittance = source_.wanted == LampSource::Wanted::transmittance;
            if (ordinate.kind == Ordinate::Kind::other || isTransmittance != wantsTransmittance) {
                if (!refused) {
                    refused = quantity ? quantity : node;
                    refusedQuantity = ordinate.quantity;
                }
            } else if (!chosen) {
                chosen = node;
                ordinate.line = lines_.lineOf(quantity);
                ordinate.field = "SpectralQuantity";
                points_.ordinate = std::move(ordinate);
            }
        }
        if (count == 0) {
            return source_.refusal("no-points", said("has no spectral distribution"), kAdvice.exportAgain,
                                   lines_.lineOf(root_), "SpectralDistribution");
        }
        if (!chosen) {
            return source_.refusal(
                "other-quantity",
                refusedQuantity.empty()
                    ? said("does not say what its values are")
                    : said("holds {}, not the {}", shown(refusedQuantity),
                           source_.wanted == LampSource::Wanted::lamp ? said("spectrum of a lamp")
                                                                      : said("transmittance of a glazing")),
                said("Check that it is the file you meant"), lines_.lineOf(refused), "SpectralQuantity");
        }
        if (count > 1) {
            points_.notes.push_back({"several-spectra",
                                     said("the file holds {} spectral distributions; the first that "
                                          "fits was read",
                                          count),
                                     {source_.source.path, lines_.lineOf(chosen)}});
        }
        noteUnclearQuantity();
        return chosen;
    }

    void noteUnclearQuantity() {
        const Ordinate& ordinate = points_.ordinate;
        const bool isGuess =
            ordinate.kind == Ordinate::Kind::notSaid || ordinate.kind == Ordinate::Kind::power;
        if (!isGuess || isPowerName(bareName(ordinate.quantity))) return;
        points_.notes.push_back(
            {"quantity-unclear",
             ordinate.quantity.empty()
                 ? said("the file does not name its quantity; it was taken for relative power")
                 : said("the file names its quantity {}, which is none of the format's; it was taken "
                        "for power",
                        shown(ordinate.quantity)),
             {source_.source.path, ordinate.line, ordinate.field}});
    }

    Outcome takeData(const pugi::xml_node& distribution) {
        MarkedNumbers numbers;
        for (const pugi::xml_node& node : distribution.children()) {
            if (!isElement(node, "SpectralData")) continue;
            const std::string wavelength = cleanText(node.attribute("wavelength").value());
            const std::string value = xmlText(node);
            const auto nm = numbers.read(wavelength);
            const auto number = numbers.read(value);
            if (!nm || !number) {
                const std::string_view wrong = nm ? value : wavelength;
                return source_.refusal("not-a-number",
                                       wrong.empty() ? said("has no {}", nm ? "value" : "wavelength")
                                                     : said("{} is not a number", shown(wrong)),
                                       kAdvice.exportAgain, lines_.lineOf(node),
                                       nm ? "SpectralData" : "wavelength");
            }
            points_.wavelengths.push_back(*nm);
            points_.values.push_back(*number);
            points_.lines.push_back(lines_.lineOf(node));
        }
        if (points_.values.empty()) {
            return source_.refusal("no-points", said("has a spectral distribution without points"),
                                   kAdvice.exportAgain, lines_.lineOf(distribution), "SpectralDistribution");
        }
        return checkMarks(numbers, source_, points_.lines.front(), points_.notes);
    }

    pugi::xml_node root_;
    XmlLines lines_;
    const LampSource& source_;
    SpectralPoints points_;
};

}  // namespace

Result<SpectralPoints> pointsFromTm27(std::string_view text, const LampSource& source,
                                      std::vector<Note> notes) {
    const auto document = xmlFromText(text, source.source, kAdvice);
    if (!document) return document.error();
    const pugi::xml_node root = (*document)->document_element();
    const std::string_view name = xmlLocalName(root.name());
    if (name != kRoot) {
        const bool isBill = name == "RDF" || name == "SpdxDocument" || name == "Document";
        return source.refusal("not-recognised",
                              said("its root element is {}, not {}{}", shown(name), kRoot,
                                   isBill ? said("; it looks like a bill of software materials, whose "
                                                 "files end in .spdx too")
                                          : ""),
                              said("Give a spectrum as IES TM-27 or as a table of wavelengths and values"),
                              XmlLines(text).lineOf(root), cleanText(name.substr(0, 60)));
    }
    return Tm27Reader(root, text, source, std::move(notes)).read();
}

}  // namespace greywright::measure
