#include "scan/white.h"

#include <cmath>

#include <fmt/format.h>

#include "colour/words.h"
#include "core/said.h"
#include "scan/rgb.h"

namespace greywright::scan {
namespace {

constexpr double kUsualPaperL = 95;      // common practice: inkjet papers have L* 93 to 97
constexpr double kMostCardChroma = 6;    // of a card that was measured
constexpr double kMostPaperChroma = 15;  // no white paper is so far from a neutral card
constexpr double kMostScannedCardChroma = 12;
constexpr double kLeastCardContrast = 0.02;  // a white card differs from white paper by more
constexpr double kDarkestCard = 40;          // times as dark as the paper: no card, rather a lid or a table

double chroma(const colour::Lab& lab) {
    return std::hypot(lab.a, lab.b);
}

Error notNeutral(const std::string& what) {
    return {
        .code = "card-not-neutral",
        .what = what,
        .where = {.field = "card"},
        .next = said("Use a card that is grey or white by measurement, and mark nothing else as the card")};
}

Error noCard(std::string code, std::string what, std::string next) {
    return {.code = std::move(code),
            .what = std::move(what),
            .where = {.field = "card"},
            .next = std::move(next)};
}

/// Standard deviations of a* and b* that all patches have in common. Assumptions; docs/methods/scanning.md.
double sharedErrorOf(White white, bool isPhotograph, picture::ColourSource source, bool cardIsMeasured) {
    const bool isKnown = source != picture::ColourSource::assumed;
    switch (white) {
        case White::paper:
            return isPhotograph ? 2 : isKnown ? 1 : 1.5;
        case White::card:
            return isPhotograph ? (cardIsMeasured ? 2.5 : 3) : isKnown ? 1.5 : 2;
        case White::picture:
            break;
    }
    return isPhotograph ? 9 : isKnown ? 2 : 3;
}

}  // namespace

Outcome checkCard(const Sample& sample) {
    const auto error = [](std::string code, std::string what, std::string next) {
        return Error{.code = std::move(code),
                     .what = std::move(what),
                     .where = {.field = "card"},
                     .next = std::move(next)};
    };
    if (sample.pixels < 100) {
        return error("card-too-small", said("only {} pixels show the card", sample.pixels),
                     said("Mark a larger part of it, or take a larger picture"));
    }
    if (sample.brightFraction > 0.01 || sample.darkFraction > 0.01) {
        return error("card-clipped", said("the card is lighter or darker than the picture can show"),
                     said("Expose so that the card is neither white nor black in the picture"));
    }
    if (const std::string fault = faultOf(sample); !fault.empty()) {
        return error("card-uneven", said("the card does not look like one even area: ") + fault,
                     said("Light it evenly, turn away its glare, and mark nothing but the card"));
    }
    return Done{};
}

Result<Related> relate(const LightSurface& light, const std::optional<SeenCard>& card, const Options& options,
                       bool isPhotograph, picture::ColourSource source) {
    Related out;
    const Eigen::Vector3d seenPaper = light.mean().array().exp();
    // The card as it would be if it lay in the light that the mean of the paper has.
    Eigen::Vector3d seenCard = Eigen::Vector3d::Ones();
    if (card) {
        seenCard = card->rgb.array() * (light.mean() - light.logLight(card->mm)).array().exp();
        const Eigen::Vector3d paperByCard = seenPaper.cwiseQuotient(seenCard.cwiseMax(1e-5));
        if ((paperByCard.array() - 1).abs().maxCoeff() < kLeastCardContrast) {
            return noCard("card-missing", said("what should be the card looks just like the bare paper"),
                          said("Lay a card there, or do not say that there is one"));
        }
        if (paperByCard.minCoeff() > kDarkestCard) {
            return noCard("card-too-dark", said("what should be the card is nearly black"),
                          said("Use a card that is grey or white, and mark nothing else as the card"));
        }
        if (options.cardLab && chroma(*options.cardLab) > kMostCardChroma) {
            return notNeutral(
                said("the card has a chroma of {:.1f} by its own figures", chroma(*options.cardLab)));
        }
        if (!options.cardLab) {
            // At the paper's own lightness, so that chroma means what it says.
            const double scale = rgbFromLab({kUsualPaperL, 0, 0})[1] / paperByCard[1];
            const colour::Lab paper = labFromRgb(scale * paperByCard);
            if (chroma(paper) > kMostPaperChroma) {
                return notNeutral(
                    said("if the card were neutral the paper would be plainly {} (chroma {:.0f})",
                         colour::tintName({paper.a, paper.b}), chroma(paper)));
            }
            const colour::Lab own = labFromRgb(seenCard);
            if (!isPhotograph && chroma(own) > kMostScannedCardChroma) {
                return notNeutral(said("in the scan the card is plainly {} (chroma {:.0f})",
                                       colour::tintName({own.a, own.b}), chroma(own)));
            }
        }
    }
    const auto asUsual = [&](const Eigen::Vector3d& rgb) -> Eigen::Vector3d {
        out.notes.push_back({.code = "paper-lightness-assumed",
                             .text = said("the bare paper is taken to have L* {:.0f}; all lightness is "
                                          "relative to that",
                                          kUsualPaperL),
                             .where = {}});
        const double y = (xyzFromRgb() * rgb)[1];
        return rgb * (xyzFromRgb() * rgbFromLab({kUsualPaperL, 0, 0}))[1] / y;
    };
    if (options.paper) {
        out.white = White::paper;
        out.paper = rgbFromLab(*options.paper);
    } else if (card && options.cardLab) {
        out.white = White::card;
        out.paper = seenPaper.cwiseQuotient(seenCard).cwiseProduct(rgbFromLab(*options.cardLab));
    } else if (card) {
        out.white = White::card;
        const Eigen::Vector3d tint = seenPaper.cwiseQuotient(seenCard);
        // A scan's own lightness stands; of a photograph's only the paper's is believable.
        out.paper = isPhotograph ? asUsual(tint) : Eigen::Vector3d(tint * (seenCard.sum() / 3));
    } else {
        out.paper = isPhotograph ? asUsual(seenPaper) : seenPaper;
        if (isPhotograph) {
            out.notes.push_back(
                {.code = "white-not-known",
                 .text = said("a photograph without a card or a known paper says how tints differ, "
                              "hardly where neutral is"),
                 .where = {}});
        }
    }
    out.sharedError = sharedErrorOf(out.white, isPhotograph, source, options.cardLab.has_value());
    return out;
}

}  // namespace greywright::scan
