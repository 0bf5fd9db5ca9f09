// See pdf.cpp.
#define POINTERHOLDER_TRANSITION 4

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>

#include "core/files.h"
#include "sheet/design.h"
#include "sheet/lettering.h"
#include "sheet/markers.h"
#include "sheet/render.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright::sheet {
namespace {

using greywright::testing::succeeded;
using greywright::testing::TemporaryFolder;

const Title kTitle{"Matt rag 21", "2031-04-05"};
const Page kOdd{133.7, 181.9, 5.3};

/// A filled rectangle or a picture on the page. Units: points from the lower left corner.
struct Seen {
    double left, bottom, width, height;
    std::vector<double> colour;
    std::string picture;
};

/// What a page draws, followed operator by operator.
class Watcher : public QPDFObjectHandle::ParserCallbacks {
  public:
    void handleObject(QPDFObjectHandle object, std::size_t, std::size_t) override {
        if (!object.isOperator()) {
            operands_.push_back(object);
            return;
        }
        const std::string name = object.getOperatorValue();
        const auto number = [&](std::size_t i) { return operands_.at(i).getNumericValue(); };
        if (name == "cm") {
            // New places are scaled and moved first by this matrix, then by the one before.
            const std::array<double, 4> more{number(0), number(3), number(4), number(5)};
            EXPECT_EQ(number(1), 0);
            EXPECT_EQ(number(2), 0);
            matrix_ = {matrix_[0] * more[0], matrix_[1] * more[1], matrix_[0] * more[2] + matrix_[2],
                       matrix_[1] * more[3] + matrix_[3]};
        } else if (name == "q") {
            saved_.push_back(matrix_);
        } else if (name == "Q") {
            matrix_ = saved_.back();
            saved_.pop_back();
        } else if (name == "scn" || name == "SCN") {
            std::vector<double>& colour = name == "scn" ? fill_ : line_;
            colour.clear();
            for (std::size_t i = 0; i < operands_.size(); ++i) colour.push_back(number(i));
        } else if (name == "re") {
            path_.push_back(box(number(0), number(1), number(2), number(3)));
        } else if (name == "f") {
            for (Seen& seen : path_) {
                seen.colour = fill_;
                rectangles.push_back(seen);
            }
            path_.clear();
        } else if (name == "Do") {
            pictures.push_back(box(0, 0, 1, 1));
            pictures.back().picture = operands_.at(0).getName();
        } else if (name == "w") {
            thickness_ = number(0) * std::abs(matrix_[0]);
        } else if (name == "l") {
            ++strokes[thickness_];
        } else if (name == "J") {
            EXPECT_EQ(number(0), 1) << "round ends";
        } else if (name == "S") {
            for (const double value : line_) EXPECT_EQ(value, 0);
        }
        operands_.clear();
    }
    void handleEOF() override {}

    std::vector<Seen> rectangles;
    std::vector<Seen> pictures;
    std::map<double, int> strokes;  ///< how many of each thickness

  private:
    [[nodiscard]] Seen box(double x, double y, double width, double height) const {
        const double x1 = matrix_[0] * x + matrix_[2];
        const double x2 = matrix_[0] * (x + width) + matrix_[2];
        const double y1 = matrix_[1] * y + matrix_[3];
        const double y2 = matrix_[1] * (y + height) + matrix_[3];
        return {std::min(x1, x2), std::min(y1, y2), std::abs(x2 - x1), std::abs(y2 - y1), {}, {}};
    }

    std::array<double, 4> matrix_{1, 1, 0, 0};
    std::vector<std::array<double, 4>> saved_;
    std::vector<double> fill_, line_;
    std::vector<Seen> path_;
    std::vector<QPDFObjectHandle> operands_;
    double thickness_ = 0;
};

constexpr double kMmPerPoint = 25.4 / 72;
constexpr double kTolerance = 1e-3;  // mm

bool isAt(const Seen& seen, const RectMm& at, double pageHeightMm) {
    return std::abs(seen.left * kMmPerPoint - at.x) < kTolerance &&
           std::abs(seen.width * kMmPerPoint - at.width) < kTolerance &&
           std::abs(seen.height * kMmPerPoint - at.height) < kTolerance &&
           std::abs(pageHeightMm - (seen.bottom + seen.height) * kMmPerPoint - at.y) < kTolerance;
}

bool hasCodes(const Seen& seen, const std::array<std::uint16_t, 3>& rgb, std::size_t channels) {
    if (seen.colour.size() != channels) return false;
    for (std::size_t i = 0; i < channels; ++i) {
        if (std::abs(seen.colour[i] * 65535 - rgb[i]) > 0.01) return false;
    }
    return true;
}

// Read back by libqpdf's own parser; places and codes are worked out here.
void expectExact(const Sheet& sheet, picture::Encoding encoding, std::size_t channels) {
    const TemporaryFolder folder;
    ASSERT_TRUE(succeeded(writePdf(sheet, folder / "x.pdf", {.dotsPerInch = 300, .encoding = encoding})));
    EXPECT_EQ(folder.count(), 1U);
    QPDF pdf;
    pdf.processFile((folder / "x.pdf").string().c_str());
    EXPECT_TRUE(pdf.getWarnings().empty());
    auto pages = QPDFPageDocumentHelper(pdf).getAllPages();
    ASSERT_EQ(pages.size(), std::size_t(sheet.pages));
    for (int page = 1; page <= sheet.pages; ++page) {
        auto& one = pages[std::size_t(page) - 1];
        auto box = one.getMediaBox().getArrayAsVector();
        EXPECT_NEAR(box[2].getNumericValue() * kMmPerPoint, sheet.page.widthMm, kTolerance);
        EXPECT_NEAR(box[3].getNumericValue() * kMmPerPoint, sheet.page.heightMm, kTolerance);
        auto resources = one.getAttribute("/Resources", false);
        auto colours = resources.getKey("/ColorSpace").getKey("/C");
        EXPECT_EQ(colours.getArrayItem(0).getName(), "/ICCBased");
        auto profile = colours.getArrayItem(1);
        EXPECT_EQ(profile.getDict().getKey("/N").getIntValueAsInt(), int(channels));
        const auto bytes = profile.getStreamData(qpdf_dl_all);
        EXPECT_EQ(std::string(reinterpret_cast<const char*>(bytes->getBuffer()), bytes->getSize()),
                  *picture::profileOf(encoding));

        Watcher watcher;
        one.parseContents(&watcher);
        std::size_t expected = 0;
        const auto expectSeen = [&](const RectMm& at, const std::array<std::uint16_t, 3>& rgb) {
            ++expected;
            EXPECT_TRUE(std::ranges::any_of(watcher.rectangles,
                                            [&](const Seen& seen) {
                                                return isAt(seen, at, sheet.page.heightMm) &&
                                                       hasCodes(seen, rgb, channels);
                                            }))
                << at.x << " " << at.y << " " << rgb[0];
        };
        for (const Patch& patch : sheet.patches) {
            if (patch.page != page) continue;
            const auto grey = static_cast<std::uint16_t>(std::lround(65535 * (1 - patch.tonePercent / 100)));
            expectSeen(patch.at, patch.rgb.value_or(std::array{grey, grey, grey}));
        }
        for (const Mark& mark : sheet.marks) {
            if (mark.page == page) expectSeen(mark.at, {0, 0, 0});
        }
        for (const RectMm& cells : blackCellsOf(sheet.markers, page)) expectSeen(cells, {0, 0, 0});
        EXPECT_EQ(watcher.rectangles.size(), expected);

        std::map<double, int> strokes;
        for (const Lettering& words : sheet.letterings) {
            if (words.page == page) strokes[words.heightMm] += int(strokesOf(words).size());
        }
        ASSERT_EQ(watcher.strokes.size(), strokes.size());
        auto seen = watcher.strokes.begin();
        for (const auto& [heightMm, count] : strokes) {
            EXPECT_NEAR(seen->first * kMmPerPoint, kStrokeFraction * heightMm, kTolerance);
            EXPECT_EQ(seen->second, count);
            ++seen;
        }
        std::size_t picture = 0;
        for (const Drawing& drawing : sheet.drawings) {
            if (drawing.page != page) continue;
            ASSERT_LT(picture, watcher.pictures.size());
            EXPECT_TRUE(isAt(watcher.pictures[picture], drawing.at, sheet.page.heightMm));
            auto image = resources.getKey("/XObject").getKey(watcher.pictures[picture++].picture);
            EXPECT_EQ(image.getDict().getKey("/BitsPerComponent").getIntValueAsInt(), 16);
            const auto width = std::size_t(image.getDict().getKey("/Width").getIntValueAsInt());
            const auto height = std::size_t(image.getDict().getKey("/Height").getIntValueAsInt());
            EXPECT_NEAR(double(width), drawing.at.width * 300 / 25.4, 0.5);
            const auto samples = image.getStreamData(qpdf_dl_all);
            ASSERT_EQ(samples->getSize(), width * height * channels * 2);
            if (drawing.kind != DrawingKind::gradient) continue;
            for (std::size_t i = 0; i < width * channels; ++i) {
                const double across = (double(i / channels) + 0.5) / double(width);
                const double tone = drawing.fromPercent + across * (drawing.toPercent - drawing.fromPercent);
                const unsigned char* const at =
                    samples->getBuffer() + (width * channels + i) * 2;  // second row
                EXPECT_NEAR(at[0] * 256 + at[1], 65535 * (1 - tone / 100), 0.501);
            }
        }
        EXPECT_EQ(watcher.pictures.size(), picture);
    }
}

TEST(Pdf, PlacesAndCodesAreExact) {
    expectExact(*rampSheet({.title = kTitle, .tonesPercent = evenTones(101), .shuffle = 2, .page = kOdd}),
                picture::Encoding::greyGamma22, 1);
    expectExact(*cameraSheet({.title = kTitle, .tonesPercent = evenTones(38), .page = kOdd}),
                picture::Encoding::srgb, 3);
    expectExact(neutralSheet({.title = kTitle, .page = kOdd})->sheet, picture::Encoding::displayP3, 3);
    expectExact(*eyePictureSheet({.title = kTitle, .page = kOdd}), picture::Encoding::greyGamma22, 1);
    expectExact(*eyePictureSheet({.title = kTitle, .page = kOdd}), picture::Encoding::srgb, 3);
}

TEST(Pdf, TheSameSheetMakesTheSameBytes) {
    const TemporaryFolder folder;
    const auto sheet = choiceSheet({.title = kTitle, .page = kOdd});
    ASSERT_TRUE(succeeded(sheet));
    for (const char* const name : {"one.pdf", "other.pdf"}) {
        ASSERT_TRUE(succeeded(writePdf(*sheet, folder / name, {.encoding = picture::Encoding::srgb})));
    }
    const auto bytes = readWholeFile(folder / "one.pdf");
    ASSERT_TRUE(succeeded(bytes));
    EXPECT_TRUE(bytes->starts_with("%PDF-1.5"));
    EXPECT_EQ(bytes->find("Date"), std::string::npos);
    EXPECT_EQ(*bytes, *readWholeFile(folder / "other.pdf"));
}

TEST(Pdf, WhatCannotBeWrittenIsRefused) {
    const TemporaryFolder folder;
    const auto sheet = eyePictureSheet({.title = kTitle, .page = kOdd});
    ASSERT_TRUE(succeeded(sheet));
    const auto codeOf = [](const Outcome& outcome) { return outcome ? "none" : outcome.error().code; };
    EXPECT_EQ(codeOf(writePdf(*sheet, folder / "x.pdf", {.dotsPerInch = 99})), "resolution-out-of-range");
    EXPECT_EQ(codeOf(writePdf(*sheet, folder / "x.pdf", {.profile = "no profile"})), "profile-unusable");
    EXPECT_EQ(codeOf(writePdf(*choiceSheet({.title = kTitle, .page = kOdd}), folder / "x.pdf")),
              "encoding-grey");
    EXPECT_EQ(codeOf(writePdf(*sheet, folder / "x.pdf", {.goOn = [](double) { return false; }})), "stopped");
    EXPECT_EQ(codeOf(writePdf(*sheet, folder / "none" / "x.pdf")), "write-failed");
    EXPECT_EQ(folder.count(), 0U);
}

}  // namespace
}  // namespace greywright::sheet
