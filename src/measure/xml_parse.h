#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

#include <pugixml.hpp>

#include "core/result.h"
#include "measure/text.h"

namespace greywright::measure {

/// What to do about an XML document that is refused; differs by format.
struct XmlAdvice {
    const char* exportAgain;
    const char* doctype;
};

/// An XML document from a stranger: well formed as XML 1.0 wants it, one root, free of declarations that
/// could expand or load anything, neither too deep nor with too many attributes. Errors: xml-not-well-formed,
/// xml-doctype, xml-too-complex.
[[nodiscard]] Result<std::unique_ptr<pugi::xml_document>> xmlFromText(std::string_view text,
                                                                      const Source& source,
                                                                      const XmlAdvice& advice);

/// The name without its prefix.
[[nodiscard]] std::string_view xmlLocalName(std::string_view name);

/// The prefix of a name, empty where there is none.
[[nodiscard]] std::string_view xmlPrefix(std::string_view name);

/// All text directly inside an element, trimmed.
[[nodiscard]] std::string xmlText(const pugi::xml_node& node);

/// Finds the lines on which elements begin. `text` must outlive it.
/// Cost: short when asked in the order of the document.
class XmlLines {
  public:
    explicit XmlLines(std::string_view text) : text_(text) {}

    /// 0 for no element.
    [[nodiscard]] std::size_t lineOf(const pugi::xml_node& node);

  private:
    std::string_view text_;
    std::size_t countedTo_ = 0;
    std::size_t countedLine_ = 1;
};

}  // namespace greywright::measure
