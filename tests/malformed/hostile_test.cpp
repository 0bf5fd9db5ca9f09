// Files of a few megabytes made to be slow: each must be refused or read in time that grows with its length
// alone. The limit is generous, for slow machines and sanitizers; work that grows with the square of the
// length would take minutes.

#include <chrono>
#include <string>

#include <gtest/gtest.h>

#include "measure/lamp.h"
#include "measure/read.h"
#include "measure/text.h"

namespace greywright {
namespace {

constexpr std::size_t kMegabytes = 4;

std::string repeated(std::string_view piece) {
    std::string text;
    text.reserve((kMegabytes << 20) + piece.size());
    while (text.size() < (kMegabytes << 20)) text += piece;
    return text;
}

std::string closing(std::size_t count) {
    std::string text;
    for (std::size_t i = 0; i < count; ++i) text += "</abc>";
    return text;
}

struct HostileCase {
    const char* name;
    std::string bytes;
    const char* code;  // empty: it may be read
};

std::vector<HostileCase> hostileCases() {
    const std::string table = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n";
    const std::string cxf = "<CxF xmlns=\"http://colorexchangeformat.com/CxF3-core\">";
    return {
        {"carriage_returns", "CGATS.17\n" + repeated("\r"), "no-data"},
        {"newlines", "CGATS.17\n" + repeated("\n") + "X", "no-data"},
        {"apostrophes", table + "BEGIN_DATA\n" + repeated("'a "), "row-too-long"},
        {"quotes", table + "BEGIN_DATA\n" + repeated("\"\" "), "row-too-long"},
        {"open_quotes", table + "BEGIN_DATA\n" + repeated("a\" \"\n"), "quote-unfinished"},
        {"one_token", table + "BEGIN_DATA\n" + repeated("9"), "row-too-short"},
        {"header_lines", "CGATS.17\n" + repeated("FILTER M1\n"), "header-too-long"},
        {"header_words", "CGATS.17\nX " + repeated("M1 "), "no-data"},
        {"columns", "CGATS.17\nBEGIN_DATA_FORMAT\n" + repeated("C "), "too-many-columns"},
        {"tables", repeated("BEGIN_DATA_FORMAT\nA\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA\n"),
         "no-measurement"},
        {"blocks", repeated("BEGIN_A\nEND_A\n"), "no-header"},
        {"rows", table + "BEGIN_DATA\n" + repeated("1 50 0 0\n") + "END_DATA\n", "too-many-patches"},
        {"rows_wrapped", table + "NUMBER_OF_SETS 1\nBEGIN_DATA\n" + repeated("1\n"), "row-too-short"},
        {"commas", repeated(","), "no-header"},
        {"semicolon_lines", repeated(";;;;\n"), "no-header"},
        {"preamble", repeated("C,M,Y,K,C,M,Y,K,a,b,c,d\n"), "no-header"},
        {"csv_rows", "L,a,b\n" + repeated("50,0,0\n"), "too-many-patches"},
        {"csv_cells", "L,a,b\n" + repeated("50,"), "row-too-long"},
        {"wavelengths", repeated("400 1\n"), "no-header"},
        {"elements", cxf + repeated("<a/>") + "</CxF>", "no-measurement"},
        {"open_elements", cxf + repeated("<a>"), "xml-not-well-formed"},
        {"nested_elements", cxf + repeated("<abc>") + closing(repeated("<abc>").size() / 5) + "</CxF>",
         "xml-too-complex"},
        {"attributes", "<CxF " + repeated("a='' ") + "/>", "xml-not-well-formed"},
        {"references", cxf + "<Resources>" + repeated("&amp;") + "</Resources></CxF>", "no-measurement"},
        {"objects",
         cxf + "<Resources><ObjectCollection>" + repeated("<Object><TagCollection/></Object>") +
             "</ObjectCollection></Resources></CxF>",
         "no-measurement"},
        {"too_large", std::string(measure::kMostBytes + 1, ' '), "file-too-large"},
    };
}

TEST(Hostile, LargeFilesAreDealtWithInTime) {
    for (const HostileCase& hostile : hostileCases()) {
        SCOPED_TRACE(hostile.name);
        const auto start = std::chrono::steady_clock::now();
        const auto reading = measure::readingFromBytes(hostile.bytes, "hostile");
        const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
        EXPECT_EQ(reading ? "" : reading.error().code, hostile.code)
            << (reading ? "read" : reading.error().text().substr(0, 300));
        EXPECT_LT(took.count(), 10);
        RecordProperty(hostile.name, std::to_string(took.count()));
        if (!reading) {
            EXPECT_LT(reading.error().text().size(), 1000U);
        }
    }
}

std::vector<HostileCase> hostileLamps() {
    std::string cells = "380";
    while (cells.size() < 8000) cells += ",1";
    const std::string points = repeated("<SpectralData wavelength=\"500\">1</SpectralData>\n");
    return {
        {"one_row", "380 " + repeated("1 "), ""},
        {"wide_rows", repeated(cells + "\n"), ""},
        {"one_label", repeated("Spectral Data 380[nm],1\n"), ""},
        {"blocks", repeated("BEGIN\n380,1\nEND\n"), ""},
        {"words", repeated("umol photon W nm-1 "), ""},
        {"remarks", repeated("# umol photon W nm-1\n"), ""},
        {"one_digit_string", repeated("3"), ""},
        {"points", "<IESTM2714><SpectralDistribution>" + points + "</SpectralDistribution></IESTM2714>", ""},
        {"distributions", "<IESTM2714>" + repeated("<SpectralDistribution/>") + "</IESTM2714>", ""},
    };
}

TEST(Hostile, NoLargeFileIsALamp) {
    std::vector<HostileCase> cases = hostileCases();
    for (HostileCase& lamp : hostileLamps()) cases.push_back(std::move(lamp));
    for (const HostileCase& hostile : cases) {
        SCOPED_TRACE(hostile.name);
        const auto start = std::chrono::steady_clock::now();
        const auto lamp = measure::lampFromBytes(hostile.bytes, "hostile");
        const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
        EXPECT_LT(took.count(), 10);
        RecordProperty(hostile.name, std::to_string(took.count()));
        ASSERT_FALSE(lamp);
        EXPECT_LT(lamp.error().text().size(), 2000U);
    }
}

}  // namespace
}  // namespace greywright
