#include "measure/xml_parse.h"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/said.h"

namespace greywright::measure {
namespace {

constexpr int kMostDepth = 64;
constexpr std::size_t kMostAttributes = 64;

/// What pugixml lets pass though XML 1.0 forbids it, and what would make reading slow.
class Checker : public pugi::xml_tree_walker {
  public:
    bool for_each(pugi::xml_node& node) override {
        if (depth() > kMostDepth)
            return refuse("xml-too-complex", said("has elements nested too deeply"), node);
        std::vector<std::string_view> names;
        for (const pugi::xml_attribute& attribute : node.attributes()) {
            if (names.size() == kMostAttributes) {
                return refuse("xml-too-complex", said("has an element with too many attributes"), node);
            }
            const std::string_view name = attribute.name();
            if (std::ranges::find(names, name) != names.end()) {
                return refuse("xml-not-well-formed", said("gives the attribute {} twice", shown(name)), node);
            }
            names.push_back(name);
        }
        return true;
    }

    std::string code = {};
    std::string what = {};
    pugi::xml_node at = {};

  private:
    bool refuse(const char* why, std::string words, const pugi::xml_node& node) {
        code = why;
        what = std::move(words);
        at = node;
        return false;
    }
};

std::size_t lineAt(std::string_view text, std::ptrdiff_t offset) {
    const auto end = text.begin() + std::clamp<std::ptrdiff_t>(offset, 0, std::ssize(text));
    return 1 + static_cast<std::size_t>(std::count(text.begin(), end, '\n'));
}

}  // namespace

Result<std::unique_ptr<pugi::xml_document>> xmlFromText(std::string_view text, const Source& source,
                                                        const XmlAdvice& advice) {
    auto made = std::make_unique<pugi::xml_document>();
    pugi::xml_document& document = *made;
    const auto parsed = document.load_buffer(
        text.data(), text.size(), pugi::parse_default | pugi::parse_doctype | pugi::parse_declaration,
        pugi::encoding_utf8);
    // A declaration before the fault counts even when the rest cannot be read.
    for (const pugi::xml_node& node : document.children()) {
        if (node.type() != pugi::node_doctype) continue;
        return source.refusal("xml-doctype",
                              said("declares a document type, which can make a file expand or load others"),
                              advice.doctype, lineAt(text, node.offset_debug()), "DOCTYPE");
    }
    if (!parsed) {
        return source.refusal("xml-not-well-formed",
                              said("is not well-formed XML ({})", parsed.description()), advice.exportAgain,
                              lineAt(text, parsed.offset));
    }
    std::size_t elements = 0;
    for (const pugi::xml_node& node : document.children()) {
        const bool secondRoot = node.type() == pugi::node_element && ++elements > 1;
        const std::string_view version = node.attribute("version").value();
        const bool badVersion = node.type() == pugi::node_declaration && version != "1.0" && version != "1.1";
        if (!secondRoot && !badVersion) continue;
        return source.refusal("xml-not-well-formed",
                              secondRoot ? said("is not well-formed XML (more than one root element)")
                                         : said("is not well-formed XML (version {})", shown(version)),
                              advice.exportAgain, lineAt(text, node.offset_debug()));
    }
    Checker checker;
    if (!document.traverse(checker)) {
        return source.refusal(checker.code, checker.what, advice.exportAgain,
                              lineAt(text, checker.at.offset_debug()),
                              cleanText(std::string_view(checker.at.name()).substr(0, 60)));
    }
    return made;
}

std::string_view xmlLocalName(std::string_view name) {
    const std::size_t colon = name.find(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

std::string_view xmlPrefix(std::string_view name) {
    const std::size_t colon = name.find(':');
    return colon == std::string_view::npos ? std::string_view() : name.substr(0, colon);
}

std::string xmlText(const pugi::xml_node& node) {
    std::string text;
    for (const pugi::xml_node& part : node.children()) {
        if (part.type() == pugi::node_pcdata || part.type() == pugi::node_cdata) text += part.value();
    }
    return std::string(trimmed(text));
}

std::size_t XmlLines::lineOf(const pugi::xml_node& node) {
    const std::ptrdiff_t offset = node.offset_debug();
    if (offset < 0) return 0;
    const auto at = std::min(static_cast<std::size_t>(offset), text_.size());
    if (at < countedTo_) {
        countedTo_ = 0;
        countedLine_ = 1;
    }
    const auto from = text_.begin() + static_cast<std::ptrdiff_t>(countedTo_);
    countedLine_ +=
        static_cast<std::size_t>(std::count(from, text_.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
    countedTo_ = at;
    return countedLine_;
}

}  // namespace greywright::measure
