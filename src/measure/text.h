#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"

namespace greywright::measure {

/// A file under reading: makes every refusal name it.
struct Source {
    std::string path = {};

    /// A refusal of this file, kind badInput.
    [[nodiscard]] Error refusal(std::string code, std::string what, std::string next, std::size_t line = 0,
                                std::string field = {}) const;
};

/// One line without its end. `number` is 1-based, counted as an editor counts.
struct Line {
    std::string_view text = {};
    std::size_t number = 0;
};

/// Walks over the lines of a text: LF, CR LF, CR alone and CR CR LF, mixed as they come.
class LineCursor {
  public:
    explicit LineCursor(std::string_view text) : rest_(text) {}

    /// The next line, or nothing at the end.
    [[nodiscard]] std::optional<Line> next();

  private:
    std::string_view rest_;
    std::size_t number_ = 0;
};

/// The bytes of a text file as UTF-8 without byte order mark, for every reader of lines. A text that is not
/// UTF-8 is taken for ISO 8859-1, with a note.
/// Errors: file-empty, file-too-large, not-text (pictures, archives, profiles, NUL bytes), encoding-utf16.
[[nodiscard]] Result<std::string> textFromBytes(std::string_view bytes, const Source& source,
                                                std::vector<Note>& notes);

/// More than any measurement file of a test sheet has.
inline constexpr std::size_t kMostBytes = std::size_t{32} << 20;

/// More columns than any instrument writes.
inline constexpr std::size_t kMostColumns = 4096;

[[nodiscard]] std::string upper(std::string_view text);
[[nodiscard]] std::string_view trimmed(std::string_view text);

/// Letters and digits only, in capitals: what is left of a name when spelling does not count.
[[nodiscard]] std::string bareName(std::string_view text);

/// A name or header value fit to keep and show: control characters become blanks, the ends are trimmed.
[[nodiscard]] std::string cleanText(std::string_view text);

/// A piece of the file for an error text: in quotes, cut short, without control characters.
[[nodiscard]] std::string shown(std::string_view text);

/// The content of a cell: without its quotes, doubled quotes made single.
[[nodiscard]] std::string cellText(std::string_view cell);

/// Splits at a separator; a cell that begins with a double quote runs to its closing quote. Cells are trimmed
/// of blanks.
/// Errors: false for a quote that is not closed or for more than kMostColumns cells.
[[nodiscard]] bool splitCells(std::string_view line, char separator, std::vector<std::string_view>& cells);

/// Tokens between blanks and tabs, with double or single quotes; '#' begins a comment outside quotes. Stops
/// behind kMostColumns tokens.
/// Errors: false for a double quote that is not closed; the token then runs to the end of the line.
[[nodiscard]] bool splitTokens(std::string_view line, std::vector<std::string_view>& tokens);

}  // namespace greywright::measure
