// libqpdf asks to be told that nobody here uses its pointers of older days.
#define POINTERHOLDER_TRANSITION 4

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "core/files.h"
#include "core/numbers.h"
#include "core/said.h"
#include "sheet/drawing.h"
#include "sheet/lettering.h"
#include "sheet/markers.h"
#include "sheet/render.h"
#include "sheet/target.h"

namespace greywright::sheet {
namespace {

constexpr double kMmPerInch = 25.4;
constexpr double kPointsPerMm = 72 / kMmPerInch;
constexpr int kMostDotsPerInch = 360;
constexpr int kPlaceDecimals = 4;
constexpr int kFactorDecimals = 8;
constexpr int kCodeDecimals = 7;  // times 65535, a code to 0.004

std::string number(double value, int decimals) {
    std::string text = textFromNumber(value, decimals);
    while (text.ends_with('0')) text.pop_back();
    if (text.ends_with('.')) text.pop_back();
    return text;
}

std::string place(double mm) {
    return number(mm, kPlaceDecimals);
}

std::string rectangle(const RectMm& at) {
    return fmt::format("{} {} {} {} re\n", place(at.x), place(at.y), place(at.width), place(at.height));
}

Error stopped() {
    return {.kind = ErrorKind::wrongUse,
            .code = "stopped",
            .what = said("stopped before the file was complete"),
            .next = said("Nothing was written; begin again when it suits")};
}

class PdfBuilder {
  public:
    PdfBuilder(const Sheet& sheet, const Target& target, const RenderOptions& options)
        : sheet_(sheet), options_(options), channels_(target.channels) {
        pdf_.emptyPDF();
        auto profile = pdf_.newStream(target.profile);
        profile.getDict().replaceKey("/N", QPDFObjectHandle::newInteger(channels_));
        profile.getDict().replaceKey(
            "/Alternate", QPDFObjectHandle::newName(channels_ == 1 ? "/DeviceGray" : "/DeviceRGB"));
        colours_ = pdf_.makeIndirectObject(QPDFObjectHandle::newArray(
            {QPDFObjectHandle::newName("/ICCBased"), pdf_.makeIndirectObject(profile)}));
    }

    Result<std::string> build() {
        for (int page = 1; page <= sheet_.pages; ++page) {
            if (!goOn(double(page - 1) / sheet_.pages) || !addPage(page)) return stopped();
        }
        QPDFWriter writer(pdf_);
        writer.setOutputMemory();
        writer.setMinimumPDFVersion("1.5");
        writer.setDeterministicID(true);
        writer.write();
        const std::shared_ptr<Buffer> bytes = writer.getBufferSharedPointer();
        if (!goOn(1)) return stopped();
        return std::string(reinterpret_cast<const char*>(bytes->getBuffer()), bytes->getSize());
    }

  private:
    bool goOn(double share) const { return !options_.goOn || options_.goOn(share); }

    void say(std::string_view text) { content_ += text; }

    void setColour(const std::array<std::uint16_t, 3>& rgb, std::string_view operation) {
        for (std::size_t i = 0; i < std::size_t(channels_); ++i) {
            content_ += number(rgb[i] / 65535.0, kCodeDecimals) + ' ';
        }
        content_ += operation;
        content_ += '\n';
    }

    void setTone(double tonePercent, std::string_view operation) {
        const std::uint16_t code = codeOfTone(tonePercent);
        setColour({code, code, code}, operation);
    }

    /// False when the work is to stop.
    bool addPage(int page) {
        const double width = sheet_.page.widthMm * kPointsPerMm;
        const double height = sheet_.page.heightMm * kPointsPerMm;
        // From here on in mm, from the upper left corner downwards.
        content_ = fmt::format("{0} 0 0 -{0} 0 {1} cm\n/C cs /C CS 1 J\n",
                               number(kPointsPerMm, kFactorDecimals), number(height, kFactorDecimals));
        auto pictures = QPDFObjectHandle::newDictionary();
        for (const Mark& mark : sheet_.marks) {
            if (mark.page == page) addArea(mark.at, mark.tonePercent, {});
        }
        for (const Drawing& drawing : sheet_.drawings) {
            if (drawing.page != page) continue;
            const auto picture = pictureOf(drawing);
            if (!picture) return false;
            const std::string name = fmt::format("/P{}", pictures.getKeys().size() + 1);
            pictures.replaceKey(name, *picture);
            // A picture's unit square stands upright.
            say(fmt::format("q {} 0 0 -{} {} {} cm {} Do Q\n", place(drawing.at.width),
                            place(drawing.at.height), place(drawing.at.x),
                            place(drawing.at.y + drawing.at.height), name));
        }
        for (const Patch& patch : sheet_.patches) {
            if (patch.page == page) addArea(patch.at, patch.tonePercent, patch.rgb);
        }
        setTone(100, "scn");
        const std::vector<RectMm> cells = blackCellsOf(sheet_.markers, page);
        for (const RectMm& at : cells) say(rectangle(at));
        if (!cells.empty()) say("f\n");
        setTone(100, "SCN");
        for (const Lettering& lettering : sheet_.letterings) {
            if (lettering.page == page) addWords(lettering);
        }
        auto dictionary = QPDFObjectHandle::newDictionary();
        dictionary.replaceKey("/Type", QPDFObjectHandle::newName("/Page"));
        dictionary.replaceKey(
            "/MediaBox",
            QPDFObjectHandle::newArray({QPDFObjectHandle::newInteger(0), QPDFObjectHandle::newInteger(0),
                                        QPDFObjectHandle::newReal(number(width, 5)),
                                        QPDFObjectHandle::newReal(number(height, 5))}));
        auto colours = QPDFObjectHandle::newDictionary();
        colours.replaceKey("/C", colours_);
        auto resources = QPDFObjectHandle::newDictionary();
        resources.replaceKey("/ColorSpace", colours);
        resources.replaceKey("/XObject", pictures);
        dictionary.replaceKey("/Resources", resources);
        dictionary.replaceKey("/Contents", pdf_.makeIndirectObject(pdf_.newStream(content_)));
        QPDFPageDocumentHelper(pdf_).addPage(QPDFPageObjectHelper(pdf_.makeIndirectObject(dictionary)),
                                             false);
        return true;
    }

    void addArea(const RectMm& at, double tonePercent,
                 const std::optional<std::array<std::uint16_t, 3>>& rgb) {
        if (rgb) {
            setColour(*rgb, "scn");
        } else {
            setTone(tonePercent, "scn");
        }
        say(rectangle(at) + "f\n");
    }

    void addWords(const Lettering& lettering) {
        say(fmt::format("{} w\n", place(kStrokeFraction * lettering.heightMm)));
        for (const Stroke& stroke : strokesOf(lettering)) {
            say(fmt::format("{} {} m {} {} l\n", place(stroke.x1), place(stroke.y1), place(stroke.x2),
                            place(stroke.y2)));
        }
        say("S\n");
    }

    /// Nothing when the work is to stop.
    std::optional<QPDFObjectHandle> pictureOf(const Drawing& drawing) {
        const double pixelsPerMm = std::min(options_.dotsPerInch, kMostDotsPerInch) / kMmPerInch;
        const auto pixels = [&](double mm) { return std::max(1, int(std::lround(mm * pixelsPerMm))); };
        const int width = pixels(drawing.at.width);
        const int height = pixels(drawing.at.height);
        const Painter painter(drawing);
        std::string bytes;
        bytes.reserve(std::size_t(width) * std::size_t(height) * std::size_t(channels_) * 2);
        for (int row = 0; row < height; ++row) {
            if (row % 64 == 0 && !goOn(0)) return std::nullopt;
            for (int column = 0; column < width; ++column) {
                const std::uint16_t code = codeOfTone(
                    painter.tonePercentAt(drawing.at.x + drawing.at.width * (column + 0.5) / width,
                                          drawing.at.y + drawing.at.height * (row + 0.5) / height));
                for (int channel = 0; channel < channels_; ++channel) {
                    bytes += static_cast<char>(code >> 8U);
                    bytes += static_cast<char>(code & 0xFFU);
                }
            }
        }
        auto picture = pdf_.newStream(bytes);
        auto dictionary = picture.getDict();
        dictionary.replaceKey("/Type", QPDFObjectHandle::newName("/XObject"));
        dictionary.replaceKey("/Subtype", QPDFObjectHandle::newName("/Image"));
        dictionary.replaceKey("/Width", QPDFObjectHandle::newInteger(width));
        dictionary.replaceKey("/Height", QPDFObjectHandle::newInteger(height));
        dictionary.replaceKey("/BitsPerComponent", QPDFObjectHandle::newInteger(16));
        dictionary.replaceKey("/ColorSpace", colours_);
        return pdf_.makeIndirectObject(picture);
    }

    const Sheet& sheet_;
    const RenderOptions& options_;
    int channels_;
    QPDF pdf_;
    QPDFObjectHandle colours_;
    std::string content_;
};

}  // namespace

Outcome writePdf(const Sheet& sheet, const std::filesystem::path& path, const RenderOptions& options) {
    const auto target = targetOf(sheet, options);
    if (!target) return target.error();
    const auto bytes = PdfBuilder(sheet, *target, options).build();
    if (!bytes) return bytes.error();
    return writeWholeFile(path, *bytes);
}

}  // namespace greywright::sheet
