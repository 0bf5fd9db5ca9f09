#pragma once

#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <utility>

#include <pugixml.hpp>

#include "core/result.h"
#include "measure/text.h"
#include "measure/xml_parse.h"

namespace greywright::measure {

/// A CxF3 document in memory: checked to be well formed, of the right namespace and free of declarations that
/// could expand. Private to the reader of CxF.
class CxfDocument {
  public:
    /// Errors: xml-not-well-formed, xml-doctype, xml-too-complex, xml-not-cxf, cxf-version.
    [[nodiscard]] static Result<CxfDocument> parse(std::string_view text, const Source& source);

    [[nodiscard]] pugi::xml_node root() const { return document_->document_element(); }

    /// The name of an element of the CxF namespace without its prefix; empty for any other node.
    [[nodiscard]] std::string_view nameOf(const pugi::xml_node& node) const;

    /// The first child element of that name in the CxF namespace, or an empty node.
    [[nodiscard]] pugi::xml_node child(const pugi::xml_node& parent, std::string_view name) const;

    /// All text directly inside an element, trimmed.
    [[nodiscard]] static std::string textOf(const pugi::xml_node& node) { return xmlText(node); }

    /// The text of a child, empty where there is none.
    [[nodiscard]] std::string childText(const pugi::xml_node& parent, std::string_view name) const {
        return textOf(child(parent, name));
    }

    /// The line on which an element begins.
    /// Cost: short when asked in the order of the document.
    [[nodiscard]] std::size_t lineOf(const pugi::xml_node& node) const { return lines_.lineOf(node); }

  private:
    CxfDocument(std::string_view text, std::unique_ptr<pugi::xml_document> document)
        : document_(std::move(document)), lines_(text) {}

    std::unique_ptr<pugi::xml_document> document_;
    std::set<std::string, std::less<>> prefixes_;  // those that mean the CxF namespace
    mutable XmlLines lines_;
};

}  // namespace greywright::measure
