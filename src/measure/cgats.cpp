#include "measure/cgats.h"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/said.h"
#include "measure/table.h"

namespace greywright::measure {
namespace {

constexpr const char* kExportAgain = toSay("Export the measurement again");
constexpr std::size_t kMostHeaderLines = 5000;

void dropEmptyEnd(std::vector<std::string_view>& cells) {
    while (!cells.empty() && cells.back().empty()) cells.pop_back();
}

/// A count that the header states, and where.
struct StatedCount {
    std::size_t count = 0;
    std::size_t line = 0;
};

class CgatsParser {
  public:
    CgatsParser(std::string_view text, const Source& source, std::vector<Note>& notes)
        : cursor_(text), source_(source), notes_(notes) {}

    Result<std::vector<Table>> parse() {
        while (const auto line = cursor_.next()) {
            lastLine_ = line->number;
            const bool closed = splitTokens(line->text, tokens_);
            if (tokens_.empty()) continue;
            const std::string keyword = tokens_[0].size() < 200 ? upper(tokens_[0]) : std::string();
            Outcome outcome = Done{};
            if (keyword == "BEGIN_DATA_FORMAT") {
                outcome = readFormat(*line);
            } else if (keyword == "BEGIN_DATA") {
                outcome = readData(*line);
            } else if (keyword.starts_with("BEGIN_")) {
                outcome = skipBlock(keyword, line->number);
            } else if (keyword == ".INCLUDE") {
                outcome = source_.refusal("include-refused", said("asks for another file to be read in"),
                                          said("Put everything into one file"), line->number, ".INCLUDE");
            } else if (keyword.starts_with("END_DATA")) {
                outcome = source_.refusal("no-data", said("{} without a beginning", keyword), kExportAgain,
                                          line->number, keyword);
            } else {
                outcome = takeHeader(keyword, *line, closed);
            }
            if (!outcome) return std::move(outcome).error();
        }
        if (auto finished = finish(); !finished) return std::move(finished).error();
        return std::move(tables_);
    }

  private:
    Outcome takeHeader(const std::string& keyword, const Line& line, bool closed) {
        if (table_.header.size() == kMostHeaderLines) {
            return source_.refusal("header-too-long", said("has more than {} header lines", kMostHeaderLines),
                                   said("Check that it is the file you meant"), line.number);
        }
        HeaderEntry entry{.keyword = cleanText(keyword), .line = line.number};
        if (!closed && !unfinishedQuoteTold_) {
            unfinishedQuoteTold_ = true;
            notes_.push_back({"header-quote-unfinished",
                              said("line {}: a quote in the header is not closed; the rest of the line "
                                   "was taken",
                                   line.number)});
        }
        if (tokens_.size() == 2) {
            entry.value = cellText(tokens_[1]);
        } else if (tokens_.size() > 2) {
            const char* from = tokens_[1].data();
            entry.value = cleanText({from, tokens_.back().data() + tokens_.back().size()});
        }
        for (auto& [name, stated] : {std::pair{"NUMBER_OF_FIELDS", &fields_}, {"NUMBER_OF_SETS", &sets_}}) {
            if (entry.keyword != name) continue;
            if (auto taken = takeCount(entry, *stated); !taken) return taken;
        }
        table_.header.push_back(std::move(entry));
        return Done{};
    }

    Outcome takeCount(const HeaderEntry& entry, std::optional<StatedCount>& stated) {
        const bool digits = !entry.value.empty() && entry.value.size() < 10 &&
                            entry.value.find_first_not_of("0123456789") == std::string::npos;
        if (!digits) {
            return source_.refusal("count-not-a-number", said("{} is not a count", shown(entry.value)),
                                   kExportAgain, entry.line, entry.keyword);
        }
        const StatedCount count{std::stoul(entry.value), entry.line};
        // A count that follows the data it belongs to is known only now.
        if (stated && stated->count != count.count) {
            return source_.refusal(
                "count-not-a-number",
                said("says {} here and {} on line {}", count.count, stated->count, stated->line),
                kExportAgain, entry.line, entry.keyword);
        }
        stated = count;
        return Done{};
    }

    Outcome skipBlock(const std::string& keyword, std::size_t firstLine) {
        const std::string end = "END_" + keyword.substr(6);
        while (const auto line = cursor_.next()) {
            lastLine_ = line->number;
            (void)splitTokens(line->text, tokens_);
            if (!tokens_.empty() && tokens_[0].size() == end.size() && upper(tokens_[0]) == end)
                return Done{};
        }
        return source_.refusal("block-unfinished", said("has no {}", shown(end)),
                               said("The file looks cut off; export it again"), firstLine,
                               cleanText(keyword));
    }

    Outcome readFormat(const Line& first) {
        if (!table_.columns.empty()) {
            return source_.refusal("data-format-twice", said("describes its columns twice"),
                                   said("Keep one BEGIN_DATA_FORMAT block per table"), first.number,
                                   "BEGIN_DATA_FORMAT");
        }
        table_.columnsLine = first.number;
        std::vector<std::string> byTabs;
        std::vector<std::string_view> names(tokens_.begin() + 1, tokens_.end());
        std::optional<Line> line = first;
        for (bool begun = true;; begun = false) {
            bool ended = false;
            for (const std::string_view name : names) {
                const std::string keyword = name.size() < 24 ? upper(name) : std::string();
                if (keyword == "END_DATA_FORMAT") {
                    ended = true;
                    break;
                }
                if (keyword == "BEGIN_DATA" || keyword == "END_DATA" || keyword == "BEGIN_DATA_FORMAT") {
                    return formatUnfinished(first.number);
                }
                if (table_.columns.size() == kMostColumns) return tooManyColumns(line->number);
                table_.columns.push_back(cellText(name));
            }
            if (!begun && !ended) {
                if (!splitCells(line->text, '\t', names)) names.clear();
                dropEmptyEnd(names);
                for (const std::string_view name : names) byTabs.push_back(cellText(name));
            }
            if (ended) break;
            line = cursor_.next();
            if (!line) return formatUnfinished(first.number);
            lastLine_ = line->number;
            if (!splitTokens(line->text, names)) return quoteUnfinished(line->number);
        }
        if (table_.columns.empty()) {
            return source_.refusal("data-format-empty", said("names no columns"), kExportAgain, first.number,
                                   "BEGIN_DATA_FORMAT");
        }
        // Names with blanks in them, as a spreadsheet leaves them.
        if (fields_ && fields_->count != table_.columns.size() && fields_->count == byTabs.size()) {
            table_.columns = std::move(byTabs);
        }
        return Done{};
    }

    Outcome readData(const Line& first) {
        if (table_.columns.empty()) {
            return source_.refusal(
                "no-data-format", said("has data without a description of its columns"),
                said("Add BEGIN_DATA_FORMAT, the column names and END_DATA_FORMAT before the data"),
                first.number, "BEGIN_DATA");
        }
        if (tokens_.size() > 1) {
            return source_.refusal("row-too-long", said("has values on the line that begins the data"),
                                   said("Put every row on a line of its own"), first.number, "BEGIN_DATA");
        }
        const LineCursor start = cursor_;
        Outcome rows = readRows(first.number);
        if (!rows && rows.error().code == "row-too-short" && sets_) {
            cursor_ = start;
            table_.cells.clear();
            table_.rowLines.clear();
            if (!readWrappedRows()) return rows;
            rows = Done{};
        }
        if (rows) {
            tables_.push_back(std::move(table_));
            table_ = {};
            closing_.push_back({fields_, sets_});
            fields_.reset();
            sets_.reset();
        }
        return rows;
    }

    Outcome readRows(std::size_t firstLine) {
        const std::size_t count = table_.columns.size();
        while (const auto line = cursor_.next()) {
            lastLine_ = line->number;
            const bool closed = splitTokens(line->text, tokens_);
            if (tokens_.empty()) continue;
            if (tokens_[0].size() < 24) {
                const std::string keyword = upper(tokens_[0]);
                if (keyword == "END_DATA") return Done{};
                if (keyword == "BEGIN_DATA" || keyword == "BEGIN_DATA_FORMAT" ||
                    keyword == "END_DATA_FORMAT") {
                    return dataUnfinished(firstLine, line->number);
                }
            }
            if (!closed || tokens_.size() != count) {
                const std::size_t found = tokens_.size();
                if (!splitCells(line->text, '\t', cells_)) {
                    return closed ? wrongCount(line->number, found) : quoteUnfinished(line->number);
                }
                dropEmptyEnd(cells_);
                if (cells_.size() != count) {
                    return closed ? wrongCount(line->number, found) : quoteUnfinished(line->number);
                }
                tokens_.swap(cells_);
            }
            table_.cells.insert(table_.cells.end(), tokens_.begin(), tokens_.end());
            table_.rowLines.push_back(line->number);
        }
        return dataUnfinished(firstLine, lastLine_);
    }

    /// Rows broken over several lines: believed only when the stated number of sets comes out exactly and
    /// every row ends at the end of a line.
    bool readWrappedRows() {
        const std::size_t count = table_.columns.size();
        std::size_t inRow = 0;
        while (const auto line = cursor_.next()) {
            lastLine_ = line->number;
            if (!splitTokens(line->text, tokens_)) return false;
            if (tokens_.empty()) continue;
            if (tokens_[0].size() == 8 && upper(tokens_[0]) == "END_DATA") {
                if (inRow != 0 || table_.rowLines.size() != sets_->count) return false;
                notes_.push_back(
                    {"rows-wrapped", said("rows are broken over several lines; they were put together "
                                          "by the stated number of columns and sets")});
                return true;
            }
            if (inRow == 0) table_.rowLines.push_back(line->number);
            inRow += tokens_.size();
            if (inRow > count || table_.rowLines.size() > sets_->count) return false;
            if (inRow == count) inRow = 0;
            table_.cells.insert(table_.cells.end(), tokens_.begin(), tokens_.end());
        }
        return false;
    }

    Outcome finish() {
        if (tables_.empty()) {
            if (!table_.columns.empty()) {
                return source_.refusal("no-data", said("describes its columns but has no data"),
                                       said("The file looks cut off; export it again"), lastLine_,
                                       "BEGIN_DATA");
            }
            return source_.refusal(
                "no-data", said("has no BEGIN_DATA and so no measurement"),
                said("Export the measurement as CGATS text with a data block, as CxF3 or as CSV"), lastLine_,
                "BEGIN_DATA");
        }
        if (!table_.columns.empty()) {
            return source_.refusal("no-data",
                                   said("describes the columns of a further table but has no data for it"),
                                   said("The file looks cut off; export it again"), lastLine_, "BEGIN_DATA");
        }
        // Counts may follow the last data block.
        auto& [fields, sets] = closing_.back();
        if (!fields) fields = fields_;
        if (!sets) sets = sets_;
        if (!table_.header.empty()) {
            Table& last = tables_.back();
            last.header.insert(last.header.end(), table_.header.begin(), table_.header.end());
            notes_.push_back({"text-after-data", said("line {}: text after the data was taken for header "
                                                      "lines",
                                                      table_.header.front().line)});
        }
        for (std::size_t i = 0; i < tables_.size(); ++i) {
            if (auto checked = checkCounts(tables_[i], closing_[i].first, closing_[i].second); !checked) {
                return checked;
            }
        }
        return Done{};
    }

    Outcome checkCounts(const Table& table, const std::optional<StatedCount>& fields,
                        const std::optional<StatedCount>& sets) const {
        if (fields && fields->count != table.columns.size()) {
            return source_.refusal(
                "field-count-mismatch",
                said("says {} columns but names {}", fields->count, table.columns.size()),
                said("Export it again, or correct the count if a column was removed by hand"), fields->line,
                "NUMBER_OF_FIELDS");
        }
        if (sets && sets->count != table.rowLines.size()) {
            return source_.refusal(
                "set-count-mismatch", said("says {} sets but holds {}", sets->count, table.rowLines.size()),
                said("The file may be cut off; export it again, or correct the count if rows were "
                     "removed by hand"),
                sets->line, "NUMBER_OF_SETS");
        }
        return Done{};
    }

    Error wrongCount(std::size_t line, std::size_t found) const {
        const std::size_t count = table_.columns.size();
        return source_.refusal(
            found < count ? "row-too-short" : "row-too-long",
            said("this row has {}{} values, the file has {} columns",
                 found > kMostColumns ? said("more than ") : "", std::min(found, kMostColumns), count),
            said("Correct the row (names with blanks need quotes) or export it again"), line);
    }

    Error formatUnfinished(std::size_t line) const {
        return source_.refusal("data-format-unfinished", said("has no END_DATA_FORMAT"), kExportAgain, line,
                               "BEGIN_DATA_FORMAT");
    }

    Error dataUnfinished(std::size_t firstLine, std::size_t line) const {
        return source_.refusal("data-unfinished",
                               said("the data that begin on line {} have no END_DATA", firstLine),
                               said("The file looks cut off; export it again"), line, "END_DATA");
    }

    Error quoteUnfinished(std::size_t line) const {
        return source_.refusal("quote-unfinished", said("a quote is not closed"),
                               said("Close the quote or remove it"), line);
    }

    Error tooManyColumns(std::size_t line) const {
        return source_.refusal("too-many-columns", said("names more than {} columns", kMostColumns),
                               said("Check that it is the file you meant"), line, "BEGIN_DATA_FORMAT");
    }

    LineCursor cursor_;
    const Source& source_;
    std::vector<Note>& notes_;
    std::vector<std::string_view> tokens_;
    std::vector<std::string_view> cells_;
    Table table_;
    std::optional<StatedCount> fields_;
    std::optional<StatedCount> sets_;
    std::vector<Table> tables_;
    std::vector<std::pair<std::optional<StatedCount>, std::optional<StatedCount>>> closing_;
    std::size_t lastLine_ = 0;
    bool unfinishedQuoteTold_ = false;
};

}  // namespace

bool looksLikeCgats(std::string_view text) {
    LineCursor cursor(text);
    std::vector<std::string_view> tokens;
    bool first = true;
    while (const auto line = cursor.next()) {
        (void)splitTokens(line->text.substr(0, 200), tokens);
        if (tokens.empty()) continue;
        const std::string word = upper(tokens[0]);
        if (first && (word.starts_with("CGATS") || word.starts_with("ISO28178") || word.starts_with("IT8"))) {
            return true;
        }
        first = false;
        for (const char* keyword :
             {"BEGIN_DATA_FORMAT", "BEGIN_DATA", "END_DATA", "NUMBER_OF_FIELDS", "NUMBER_OF_SETS"}) {
            if (word == keyword) return true;
        }
    }
    return false;
}

Result<Reading> readingFromCgats(std::string_view text, const Source& source, std::vector<Note> notes) {
    auto tables = CgatsParser(text, source, notes).parse();
    if (!tables) return std::move(tables).error();
    std::size_t chosen = 0;
    while (chosen < tables->size()) {
        const Table& table = (*tables)[chosen];
        const auto roles = columnRoles(table.columns, table.columnsLine, ShortNames::no, source);
        if (!roles || roles->isMeasurement()) break;
        ++chosen;
    }
    if (chosen == tables->size()) chosen = 0;
    if (tables->size() > 1) {
        notes.push_back({"tables-left-out", said("the file holds {} tables; table {} was read, the others "
                                                 "were left out",
                                                 tables->size(), chosen + 1)});
    }
    Table& table = (*tables)[chosen];
    if (chosen > 0) {
        // What the first header says about the whole file holds unless the table's own says otherwise.
        for (const HeaderEntry& entry : tables->front().header) {
            if (findEntry(table.header, entry.keyword) == nullptr) table.header.push_back(entry);
        }
    }
    return readingFromTable(table, ShortNames::no, "CGATS", std::move(notes), source);
}

}  // namespace greywright::measure
