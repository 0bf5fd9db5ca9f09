// Turns the CSV tables under data/ into one C++ file of double arrays, at build time.
//
//   embed_tables OUT.cpp A.csv B.csv ...
//
// A table is: comment lines (#), one header row, then rows whose first column is an equally spaced
// wavelength. a_b_c.csv becomes greywright::colour::tables::aBC, declared in src/colour/tables.h.
#include <cctype>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

namespace {

struct Table {
    std::vector<double> wavelengthsNm;
    std::vector<std::vector<std::string>> columns;  // as text: the compiler reads the digits
};

[[noreturn]] void fail(const std::string& what) {
    std::cerr << "embed_tables: " << what << '\n';
    std::exit(1);
}

double numberOrFail(const std::string& text, const std::string& where) {
    std::istringstream stream(text);
    stream.imbue(std::locale::classic());
    double number = 0;
    if (!(stream >> number) || !stream.eof()) fail(where + ": '" + text + "' is not a number");
    return number;
}

Table readTable(const std::filesystem::path& path) {
    std::ifstream file(path);
    if (!file) fail("cannot read " + path.string());
    Table table;
    std::string line;
    bool header = true;
    while (std::getline(file, line)) {
        if (!line.empty() && line.back() == '\r') line.pop_back();
        if (line.empty() || line.front() == '#') continue;
        std::vector<std::string> cells;
        std::istringstream row(line);
        for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
        if (header) {
            table.columns.resize(cells.size() - 1);
            header = false;
            continue;
        }
        if (cells.size() != table.columns.size() + 1) fail(path.string() + ": ragged row '" + line + "'");
        for (const std::string& cell : cells) (void)numberOrFail(cell, path.string());
        table.wavelengthsNm.push_back(numberOrFail(cells[0], path.string()));
        for (std::size_t i = 1; i < cells.size(); ++i) table.columns[i - 1].push_back(cells[i]);
    }
    const auto& nm = table.wavelengthsNm;
    if (nm.size() < 2) fail(path.string() + ": no rows");
    for (std::size_t i = 1; i < nm.size(); ++i) {
        if (nm[i] - nm[i - 1] != nm[1] - nm[0]) fail(path.string() + ": wavelengths are not equally spaced");
    }
    return table;
}

std::string camelCase(const std::string& stem) {
    std::string name;
    bool raise = false;
    for (const char c : stem) {
        if (c == '_') {
            raise = true;
        } else {
            name += raise ? static_cast<char>(std::toupper(static_cast<unsigned char>(c))) : c;
            raise = false;
        }
    }
    return name;
}

}  // namespace

int main(int count, char** arguments) {
    if (count < 3) fail("usage: embed_tables OUT.cpp TABLE.csv...");
    std::ostringstream out;
    out << "// Made from the tables under data/ by tools/embed_tables.cpp.\n#include \"colour/tables.h\"\n\n"
        << "namespace greywright::colour::tables {\n";
    for (int i = 2; i < count; ++i) {
        const std::filesystem::path path = arguments[i];
        const Table table = readTable(path);
        const std::string name = camelCase(path.stem().string());
        out << "\nstatic constexpr double " << name << "Values[] = {";
        std::size_t n = 0;
        for (const auto& column : table.columns) {
            for (const std::string& cell : column) out << (n++ % 12 == 0 ? "\n    " : " ") << cell << ',';
        }
        out << "\n};\nconstinit const Table " << name << "{{" << table.wavelengthsNm[0] << ", "
            << table.wavelengthsNm[1] - table.wavelengthsNm[0] << ", " << table.wavelengthsNm.size() << "}, "
            << table.columns.size() << ", " << name << "Values};\n";
    }
    out << "\n}  // namespace greywright::colour::tables\n";
    std::ofstream file(arguments[1], std::ios::binary | std::ios::trunc);
    file << out.str();
    file.close();
    if (!file) fail(std::string("cannot write ") + arguments[1]);
    return 0;
}
