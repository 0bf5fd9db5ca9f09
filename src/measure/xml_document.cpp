#include "measure/xml_document.h"

#include <utility>

#include <fmt/format.h>

#include "core/said.h"

namespace greywright::measure {
namespace {

constexpr std::string_view kNamespace = "http://colorexchangeformat.com/CxF3-core";
constexpr XmlAdvice kAdvice{.exportAgain = toSay("Export the measurement again as CxF3"),
                            .doctype = toSay("Remove the DOCTYPE declaration; CxF3 needs none")};

Error notCxf(const pugi::xml_node& root, std::string_view space, const Source& source, std::size_t line) {
    const std::string_view name = xmlLocalName(root.name());
    std::string what = said("its root element is {}, not CxF", shown(name));
    if (name == "IESTM2714") what = said("describes a light (IES TM-27), not a print");
    if (name == "CxF" && space.empty()) what = said("names no namespace for its root element CxF");
    if (name == "CxF" && !space.empty()) {
        what = said("is of the namespace {}, not CxF3", shown(space));
        return source.refusal("cxf-version", std::move(what), kAdvice.exportAgain, line, "CxF");
    }
    return source.refusal("xml-not-cxf", std::move(what), kAdvice.exportAgain, line, cleanText(root.name()));
}

}  // namespace

Result<CxfDocument> CxfDocument::parse(std::string_view text, const Source& source) {
    auto document = xmlFromText(text, source, kAdvice);
    if (!document) return std::move(document).error();
    CxfDocument made(text, *std::move(document));
    const pugi::xml_node root = made.root();
    std::string_view rootSpace;
    for (const pugi::xml_attribute& attribute : root.attributes()) {
        const std::string_view name = attribute.name();
        if (name != "xmlns" && xmlPrefix(name) != "xmlns") continue;
        const std::string_view prefix = name == "xmlns" ? std::string_view() : xmlLocalName(name);
        if (attribute.value() == kNamespace) made.prefixes_.emplace(prefix);
        if (prefix == xmlPrefix(root.name())) rootSpace = attribute.value();
    }
    if (xmlLocalName(root.name()) != "CxF" || rootSpace != kNamespace) {
        return notCxf(root, rootSpace, source, made.lineOf(root));
    }
    return made;
}

std::string_view CxfDocument::nameOf(const pugi::xml_node& node) const {
    if (node.type() != pugi::node_element) return {};
    const std::string_view name = node.name();
    return prefixes_.contains(xmlPrefix(name)) ? xmlLocalName(name) : std::string_view();
}

pugi::xml_node CxfDocument::child(const pugi::xml_node& parent, std::string_view name) const {
    for (const pugi::xml_node& node : parent.children()) {
        if (nameOf(node) == name) return node;
    }
    return {};
}

}  // namespace greywright::measure
