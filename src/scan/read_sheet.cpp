#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Dense>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/numbers.h"
#include "core/said.h"
#include "scan/area.h"
#include "scan/detect.h"
#include "scan/even.h"
#include "scan/identify.h"
#include "scan/place.h"
#include "scan/rgb.h"
#include "scan/sample.h"
#include "scan/scan.h"
#include "scan/suspicion.h"
#include "scan/white.h"

namespace greywright::scan {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kBareCellMm = 12;
constexpr double kMovedMm = 1;         // patches are sampled up to some 2 mm from their edge
constexpr double kMostOffLight = 0.1;  // natural logarithm
constexpr double kFarthestBareMm = 25;
constexpr std::size_t kLeastBare = 4;
constexpr double kShareForError = 0.25;

class Reader {
  public:
    Reader(const picture::Reduced& picture, const Options& options, const Identified& identified,
           const Placement& placement)
        : picture_(picture), options_(options), identified_(identified), placement_(placement) {}

    Result<SheetReading> read() {
        out_.code = identified_.sheet->code;
        out_.page = identified_.page;
        out_.source = picture_.source;
        out_.placementMm = placement_.residualMm();
        out_.isPhotograph = isPhotograph();
        out_.notes = picture_.notes;
        if (auto done = checkMoved(); !done) return std::move(done).error();
        if (auto done = takeSamples(); !done) return std::move(done).error();
        if (auto done = colours(); !done) return std::move(done).error();
        if (auto done = judgeEnds(); !done) return std::move(done).error();
        noteMeddling();
        return std::move(out_);
    }

  private:
    [[nodiscard]] bool isPhotograph() const {
        if (picture_.source == picture::ColourSource::rawMatrix || !placement_.isStraight()) return true;
        if (!picture_.pixelsPerInch) return true;
        const double perMm = pxPerMmAt(placement_, pageMm() / 2) * double(picture_.factor);
        return std::abs(perMm * 25.4 / *picture_.pixelsPerInch - 1) > 0.02;
    }
    [[nodiscard]] Vector2d pageMm() const {
        return {identified_.sheet->page.widthMm, identified_.sheet->page.heightMm};
    }
    [[nodiscard]] std::array<PointPx, 4> inFile(const Quad& quad) const {
        std::array<PointPx, 4> out;
        for (std::size_t k = 0; k < 4; ++k) {
            out[k] = {quad[k].x() * double(picture_.factor), quad[k].y() * double(picture_.factor)};
        }
        return out;
    }
    /// A marker that decodes is there: where it is not, the paper is bent or torn, and who knows how far.
    Outcome checkMoved() {
        std::vector<double> moved = placement_.movedMm();
        std::erase_if(moved, [](double mm) { return mm < kMovedMm; });
        if (moved.empty()) return Done{};
        const double most = std::ranges::max(moved);
        if (moved.size() > 1) {
            return Error{.code = "placement-uncertain",
                         .what = said("{} markers lie up to {:.1f} mm from where the others put them: "
                                      "the sheet is bent or torn there",
                                      moved.size(), most),
                         .where = {},
                         .next = said("Lay the sheet flat under glass, or print it again")};
        }
        out_.notes.push_back({.code = "marker-moved",
                              .text = said("one marker lies {:.1f} mm from where the others put it and was "
                                           "left out; look whether the sheet is bent there",
                                           most),
                              .where = {}});
        return Done{};
    }
    Outcome takeSamples() {
        std::vector<std::string> outside;
        std::size_t uncertain = 0;
        for (const sheet::Patch& patch : identified_.sheet->patches) {
            if (patch.page != identified_.page) continue;
            patches_.push_back(&patch);
            areas_.push_back(areaOf(picture_, placement_, patch.at, marginMmOf(placement_, patch.at)));
            if (!areas_.back().isInside) outside.push_back(patch.label);
            uncertain += areas_.back().isInside && !areas_.back().isCertain ? 1U : 0U;
            if (options_.goOn && !options_.goOn(0.4 + 0.4 * double(areas_.size()) /
                                                          double(identified_.sheet->patches.size()))) {
                return Error{
                    .code = "stopped", .what = said("the work was stopped"), .where = {}, .next = {}};
            }
        }
        const double most = kShareForError * double(patches_.size());
        if (double(outside.size()) > most) {
            const std::size_t shown = std::min<std::size_t>(outside.size(), 6);
            return Error{
                .code = "sheet-incomplete",
                .what =
                    said("{} of {} patches lie outside the picture: {}{}", outside.size(), patches_.size(),
                         fmt::join(outside.begin(), outside.begin() + std::ptrdiff_t(shown), ", "),
                         shown < outside.size() ? " .." : ""),
                .where = {},
                .next = said("Show the whole sheet in one picture")};
        }
        takeBare();
        if (double(uncertain) > most || (bare_.size() < kLeastBare && uncertainBare_ > allBare_)) {
            return uncertainPlacement();
        }
        return takeCard();
    }

    [[nodiscard]] Error uncertainPlacement() const {
        return {.code = "placement-uncertain",
                .what = said("where the patches lie in the picture is not certain enough: markers are off "
                             "by {:.2f} mm, and a pixel is {:.2f} mm",
                             placement_.residualMm(), 1 / pxPerMmAt(placement_, pageMm() / 2)),
                .where = {},
                .next = said("Lay the sheet flat, show all its markers, and let it fill the picture")};
    }

    void takeBare() {
        for (const sheet::BarePaper& bare : identified_.sheet->bare) {
            if (bare.page != identified_.page) continue;
            const double margin = bareMarginMmOf(placement_, bare.at);
            if (2 * margin >= std::min(bare.at.width, bare.at.height)) {
                ++uncertainBare_;
                continue;
            }
            const double width = bare.at.width - 2 * margin;
            const double height = bare.at.height - 2 * margin;
            const int across = static_cast<int>(std::ceil(width / kBareCellMm));
            const int down = static_cast<int>(std::ceil(height / kBareCellMm));
            for (int i = 0; i < across * down; ++i) {
                const sheet::RectMm cell{bare.at.x + margin + width / across * (i % across),
                                         bare.at.y + margin + height / down * (i / across), width / across,
                                         height / down};
                Area area = areaOf(picture_, placement_, cell, 0);
                if (!area.isInside) continue;
                brightBare_ += area.sample.brightFraction > 0.02 ? 1U : 0U;
                ++allBare_;
                if (faultOf(area.sample).empty()) bare_.push_back(std::move(area));
            }
        }
    }

    Outcome takeCard() {
        if (!options_.card && !options_.hasCard) return Done{};
        if (options_.card) {
            const double factor = double(picture_.factor);
            const double left = options_.card->x / factor;
            const double top = options_.card->y / factor;
            const double right = left + options_.card->width / factor;
            const double bottom = top + options_.card->height / factor;
            if (left < 0 || top < 0 || right > double(picture_.width) + 1 ||
                bottom > double(picture_.height) + 1 || right <= left || bottom <= top) {
                return Error{
                    .kind = ErrorKind::wrongUse,
                    .code = "card-outside",
                    .what = said("the card's rectangle is not inside the picture"),
                    .where = {.field = "card"},
                    .next = said("The picture has {} x {} pixels", picture_.fileWidth, picture_.fileHeight)};
            }
            card_.emplace();
            card_->whole = {Vector2d{left, top}, {right, top}, {right, bottom}, {left, bottom}};
            const double inset = 0.1 * std::min(right - left, bottom - top);
            card_->inner = {Vector2d{left + inset, top + inset},
                            {right - inset, top + inset},
                            {right - inset, bottom - inset},
                            {left + inset, bottom - inset}};
            card_->middleMm = mmFromPx({(left + right) / 2, (top + bottom) / 2});
            card_->sample = sampleOf(picture_, card_->inner);
        } else {
            if (!identified_.sheet->card) {
                return Error{.kind = ErrorKind::wrongUse,
                             .code = "card-place-missing",
                             .what = said("this sheet has no place for a card"),
                             .where = {.field = "card"},
                             .next = said("Mark the card in the picture instead")};
            }
            // A card never lies exactly in its place.
            const sheet::RectMm& at = *identified_.sheet->card;
            card_ = areaOf(picture_, placement_, at,
                           std::max(marginMmOf(placement_, at), 0.2 * std::min(at.width, at.height)));
            if (!card_->isInside) {
                return Error{.code = "card-outside",
                             .what = said("the card's place is not inside the picture"),
                             .where = {.field = "card"},
                             .next = said("Show the whole sheet in one picture")};
            }
        }
        return checkCard(card_->sample);
    }

    [[nodiscard]] Vector2d mmFromPx(const Vector2d& px) const {
        Vector2d mm = pageMm() / 2;
        for (int i = 0; i < 30; ++i) {
            const Vector2d step = placement_.pxPerMm(mm).inverse() * (px - placement_.pxFromMm(mm));
            mm = (mm + 0.7 * step).cwiseMax(-pageMm() / 2).cwiseMin(1.5 * pageMm());
        }
        return mm;
    }

    Outcome colours() {
        const bool isStretched = 2 * brightBare_ > allBare_;
        if (bare_.size() < kLeastBare && isStretched && allBare_ > 0) {
            return Error{.code = "paper-clipped",
                         .what = said("the bare paper is lighter than the picture can show"),
                         .where = {},
                         .next = out_.isPhotograph
                                     ? said("Expose less: the paper must not be white in the picture")
                                     : said("Turn off the scanner's automatic correction and scan again")};
        }
        if (bare_.size() < kLeastBare) {
            return Error{.code = "paper-unreadable",
                         .what = said("only {} places of bare paper can be read", bare_.size()),
                         .where = {},
                         .next = said("Light the sheet evenly, without glare, and cover nothing of it")};
        }
        std::vector<picture::Triple> codes;
        for (const Area& area : bare_) codes.push_back(area.sample.mean);
        for (const Area& area : areas_) {
            codes.push_back(area.sample.mean);
            codes.insert(codes.end(), area.sample.blocks.begin(), area.sample.blocks.end());
        }
        if (card_) codes.push_back(card_->sample.mean);
        auto xyz = picture::xyzFromCodes(picture_, codes);
        if (!xyz) return std::move(xyz).error();
        std::vector<BareSample> samples;
        std::size_t next = 0;
        for (const Area& area : bare_) {
            samples.push_back({area.middleMm, logOf(rgbFromXyz((*xyz)[next++]))});
        }
        const LightSurface light(samples, pageMm());
        keepBareThatAgrees(samples, light);
        std::optional<SeenCard> card;
        if (card_) {
            card = {rgbFromXyz(xyz->back()), card_->middleMm};
            out_.card = inFile(card_->inner);
        }
        auto related = relate(light, card, options_, out_.isPhotograph, picture_.source);
        if (!related) return std::move(related).error();
        out_.white = related->white;
        out_.sharedError = related->sharedError;
        out_.notes.insert(out_.notes.end(), related->notes.begin(), related->notes.end());
        out_.unevennessStops = light.unevennessStops();
        out_.paper = labFromRgb(related->paper);
        ownPaper_ = labFromRgb(light.mean().array().exp());
        for (std::size_t i = 0; i < areas_.size(); ++i) {
            const Area& area = areas_[i];
            const Vector3d scale = related->paper.array() * (-light.logLight(area.middleMm)).array().exp();
            std::vector<colour::Lab> labs;
            for (std::size_t k = 0; k < 1 + area.sample.blocks.size(); ++k) {
                labs.push_back(labFromRgb(rgbFromXyz((*xyz)[next++]).cwiseProduct(scale)));
            }
            take(i, labs, light.spread());
        }
        leaveOutStrangers();
        if (out_.isPhotograph) widenErrors();
        return Done{};
    }

    /// What lies on the paper has had no weight in the light's fit; it is no bare paper.
    void keepBareThatAgrees(std::span<const BareSample> samples, const LightSurface& light) {
        std::vector<Area> kept;
        for (std::size_t i = 0; i < samples.size(); ++i) {
            const Vector3d off = samples[i].logLight - light.logLight(samples[i].mm);
            if (off.cwiseAbs().maxCoeff() > kMostOffLight) continue;
            out_.bare.push_back(inFile(bare_[i].inner));
            kept.push_back(std::move(bare_[i]));
        }
        bare_ = std::move(kept);
    }

    /// `labs` holds the patch's own colour, then those of its blocks.
    void take(std::size_t index, const std::vector<colour::Lab>& labs, const Vector3d& lightSpread) {
        const Area& area = areas_[index];
        const sheet::Patch& patch = *patches_[index];
        std::string fault =
            area.isCertain ? faultOf(area.sample) : said("its place in the picture is not certain");
        if (!area.isInside) fault = said("outside the picture");
        if (fault.empty() && !hasBareNear(patch.at)) fault = said("no bare paper near it can be read");
        if (!fault.empty()) {
            out_.leftOut.push_back({patch.label, fault, inFile(area.whole)});
            if (!patch.rgb && area.isInside && area.sample.darkFraction > 0.05) {
                ramp_.push_back({.index = index, .tonePercent = patch.tonePercent, .isDarkClipped = true});
            }
            return;
        }
        double squares = 0;
        for (std::size_t k = 1; k < labs.size(); ++k) {
            squares += (std::pow(labs[k].a - labs[0].a, 2) + std::pow(labs[k].b - labs[0].b, 2)) / 2;
        }
        const double blocks = std::max(2.0, double(labs.size()) - 1);
        const double own = squares / (blocks * (blocks - 1));
        // Of light: red or blue off by the spread of the paper around its surface.
        const Vector3d rgb = rgbFromLab(labs[0]);
        double ofLight = 0;
        for (const Eigen::Index c : {0, 2}) {
            Vector3d changed = rgb;
            changed[c] *= std::exp(lightSpread[c]);
            const colour::Lab lab = labFromRgb(changed);
            ofLight += (std::pow(lab.a - labs[0].a, 2) + std::pow(lab.b - labs[0].b, 2)) / 2;
        }
        if (!patch.rgb) ramp_.push_back({index, patch.tonePercent, labs[0], false, area.sample.mean});
        out_.patches.push_back({.label = patch.label,
                                .lab = labs[0],
                                .standardError = std::sqrt(own + ofLight),
                                .leftOutFraction = area.sample.leftOutFraction,
                                .corners = inFile(area.inner)});
    }

    /// Light is known where there is paper; far from it a polynomial says anything.
    [[nodiscard]] bool hasBareNear(const sheet::RectMm& at) const {
        const Vector2d middle{at.x + at.width / 2, at.y + at.height / 2};
        const double farthest = std::max(kFarthestBareMm, 1.5 * std::max(at.width, at.height));
        return std::ranges::any_of(
            bare_, [&](const Area& bare) { return (bare.middleMm - middle).norm() <= farthest; });
    }

    /// Pixels alone say too little of a photograph: JPEG rounds the colours of whole patches, and light is
    /// known beside them only. Where the ramp scatters by more than they say, the difference is added.
    void widenErrors() {
        const std::optional<double> scatter = scatterOf(ramp_);
        if (!scatter || out_.patches.empty()) return;
        double said = 0;
        for (const PatchColour& patch : out_.patches)
            said += std::pow(patch.standardError, 2) / double(out_.patches.size());
        const double more = std::max(0.0, std::pow(*scatter, 2) - said);
        for (PatchColour& patch : out_.patches)
            patch.standardError = std::sqrt(std::pow(patch.standardError, 2) + more);
    }

    void leaveOutStrangers() {
        for (const std::size_t index : strangers(ramp_)) {
            const std::string& label = patches_[index]->label;
            std::erase_if(out_.patches, [&](const PatchColour& one) { return one.label == label; });
            std::erase_if(ramp_, [&](const RampPoint& one) { return one.index == index; });
            out_.leftOut.push_back({label, said("it looks like nothing of this ramp: something lies on it"),
                                    inFile(areas_[index].whole)});
        }
    }

    Outcome judgeEnds() {
        if (out_.patches.empty()) {
            return Error{
                .code = "patches-unreadable",
                .what = said("none of {} patches can be read; {}: {}", patches_.size(),
                             out_.leftOut.front().label, out_.leftOut.front().why),
                .where = {},
                .next = said("Take another picture: sharp, evenly lit, neither too light nor too dark")};
        }
        if (out_.isPhotograph) return Done{};
        const Ends ends = endsOf(ramp_, ownPaper_);
        if (ends.lightIsCut && ends.darkIsCut) {
            return Error{
                .code = "scan-corrected",
                .what = said("both ends of the ramp are cut off, as a scanner's automatic correction does"),
                .where = {},
                .next = said("Turn off every automatic correction of the scanner and scan again")};
        }
        if (ends.lightIsCut || ends.darkIsCut) {
            out_.notes.push_back(
                {.code = "ramp-end-cut",
                 .text = said("The {} end of the ramp runs together; if the print does not look like that, "
                              "the scanner has corrected something",
                              ends.lightIsCut ? "light" : "dark"),
                 .where = {}});
        }
        return Done{};
    }

    /// What a device of its own mind does without cutting anything off.
    void noteMeddling() {
        std::vector<picture::Triple> seen;
        for (const Area& area : bare_) seen.push_back(area.sample.mean);
        picture::Triple paper{};
        for (const picture::Triple& codes : seen) {
            for (std::size_t c = 0; c < 3; ++c) paper[c] += codes[c] / double(seen.size());
        }
        for (const Area& area : areas_) {
            if (faultOf(area.sample).empty()) seen.push_back(area.sample.mean);
        }
        const auto note = [&](const char* code, std::string text) {
            out_.notes.push_back({.code = code, .text = std::move(text), .where = {}});
        };
        if (areWithoutTint(seen)) {
            note("picture-without-tint", said("paper and patches have no tint at all in the picture: taken "
                                              "in grey, or a correction has "
                                              "taken the tint out; then it says nothing about the print's"));
        } else if (isColouredGrey(picture_)) {
            note("picture-coloured-grey", said("red and blue follow from green at every pixel, as in a grey "
                                               "picture that was coloured: then "
                                               "its tint is not the print's; take it in plain colour, "
                                               "without sepia or any other effect"));
        }
        if (const RampPoint* tinted = strongTint(ramp_, out_.paper); tinted != nullptr) {
            note("ramp-strongly-tinted",
                 said("the tone of {} % is {:.0f} from the paper's tint; if the print does not look "
                      "like that, the picture was taken in sepia or another colour mode",
                      textFromNumber(tinted->tonePercent),
                      std::hypot(tinted->lab.a - out_.paper.a, tinted->lab.b - out_.paper.b)));
        }
        const bool isTold =
            std::ranges::any_of(out_.notes, [](const Note& one) { return one.code == "ramp-end-cut"; });
        if (out_.isPhotograph || isTold) return;
        if (const std::string why = stretchOf(picture_, ramp_, ownPaper_, paper); !why.empty()) {
            note(
                "scan-stretched",
                said("the scan seems to be made with the scanner's automatic correction on (") + why +
                    said(
                        "): then its ramp is not the one printed; turn every correction off and scan again"));
        }
    }

    const picture::Reduced& picture_;
    const Options& options_;
    const Identified& identified_;
    const Placement& placement_;
    SheetReading out_;
    std::vector<const sheet::Patch*> patches_;
    std::vector<Area> areas_;
    std::vector<Area> bare_;
    std::size_t uncertainBare_ = 0;  ///< so narrow, or placed so badly, that none of it is certain
    std::size_t brightBare_ = 0;
    std::size_t allBare_ = 0;
    std::optional<Area> card_;
    std::vector<RampPoint> ramp_;
    colour::Lab ownPaper_;
};

}  // namespace

Result<SheetReading> readSheet(const picture::Reduced& picture, std::span<const sheet::Sheet> known,
                               const Options& options) {
    const auto stopped = [&](double share) { return options.goOn && !options.goOn(share); };
    const Error stop{.code = "stopped", .what = said("the work was stopped"), .where = {}, .next = {}};
    if (picture.channels != 3) {
        return Error{.code = "picture-grey",
                     .what = said("the picture has one channel, which says nothing about tint"),
                     .where = {},
                     .next = said("Scan or photograph in colour")};
    }
    if (isWithoutColour(picture)) {
        return Error{
            .code = "scan-corrected",
            .what = said("red, green and blue are the same at every pixel: all tint has been taken out"),
            .where = {},
            .next = said("Scan or photograph in colour, and turn off every automatic correction")};
    }
    if (stopped(0)) return stop;
    const std::vector<Found> found = findMarkers(picture);
    if (found.empty() && findMarkers(picture, true).size() >= 2) {
        return Error{.code = "sheet-mirrored",
                     .what = said("the sheet is seen as in a mirror"),
                     .where = {},
                     .next = said("Turn off mirroring, or mirror the picture once more")};
    }
    auto identified = identify(found, known);
    if (!identified) return std::move(identified).error();
    if (stopped(0.4)) return stop;
    const auto placement = Placement::fit(identified->anchors,
                                          {identified->sheet->page.widthMm, identified->sheet->page.heightMm},
                                          {double(picture.width), double(picture.height)});
    if (!placement) {
        return Error{.code = "placement-uncertain",
                     .what = said("the markers of the sheet do not lie as they do on one flat sheet"),
                     .where = {},
                     .next = said("Lay the sheet flat, show all its markers, one sheet at a time")};
    }
    return Reader(picture, options, *identified, *placement).read();
}

}  // namespace greywright::scan
