#include "studio/report_words.h"

#include <array>

#include <fmt/format.h>

#include "judge/thresholds.h"

namespace greywright::studio {

std::string_view wordsOfAim(colour::TintAimKind aim) {
    switch (aim) {
        case colour::TintAimKind::fade:
            return "the paper's tint, fading into neutral towards black";
        case colour::TintAimKind::light:
            return "neutral to the light at every tone, whatever the paper";
        case colour::TintAimKind::paper:
            return "the paper's own tint at every tone";
    }
    return "";
}

std::string_view wordsOfStatus(const steer::Summary& summary) {
    if (summary.cannotTell) return "Best known; more cannot be told";
    switch (summary.status) {
        case steer::Status::print:
            return "Print next";
        case steer::Status::settled:
            return "Settled at";
        case steer::Status::outOfReach:
            return "Nearest there is";
    }
    return "";
}

std::vector<std::string> methodParagraphs() {
    return {
        fmt::format(
            "Tint is the difference (CIEDE2000) of each tone from the aim at the tone's own lightness, D50, "
            "2° observer; the worst tone of {} % and more decides. Up to {:.1f} nobody is likely to see it, "
            "up to {:.1f} it is slight, above that plain. ΔCh is the distance in the a*b* plane.",
            judge::kPalestJudgedTonePercent, judge::kNobodySeesDeltaE00, judge::kPlainDeltaE00),
        fmt::format(
            "Tone is held against the straight line in L* from bare paper to maximum black. A broad "
            "departure "
            "is a fault from {:.1f}, one tone out of line with its neighbours from {:.1f}, in lightness as "
            "CIEDE2000 weighs it. Less than that is called even.",
            judge::kBroadDeparture, judge::kLocalDeparture),
        ("Who would notice is asked of viewers with eyes of their own, each adapted to the light and half to "
         "the "
         "paper, by the appearance model CIECAM16 at the light's level, at the worst tone. What the paper's "
         "brightener adds follows the ultraviolet that reaches it."),
        // In brackets: each is one text.
        ("These limits rest on published thresholds for pairs of patches and pictures; for a single "
         "monochrome "
         "print judged alone no threshold was found. Under another light, paper, patches and aim are "
         "computed "
         "anew from the spectra."),
        ("Predictions come from a model of what the tint control does, fitted to all trials: each paper has "
         "a "
         "tint of its own, each axis adds a tint that grows with the tone, and prints differ a little from "
         "one "
         "to the next. Intervals hold the truth nine times in ten if the model is right."),
    };
}

std::span<const std::string_view> methodSources() {
    static constexpr std::array<std::string_view, 9> kSources{
        "CIELAB: ISO/CIE 11664-4:2019. CIEDE2000: ISO/CIE 11664-6:2022.",
        "Spectra to tristimulus values: CIE 15:2018; interpolation: CIE 167:2005.",
        "Tint aim: the form recommended in ISO 12647-2:2013, 4.2.8; its factor 0.85 from memory.",
        "Visual density: ISO 5-3:2009.",
        "Thresholds side by side: Khashayar et al. 2014, J. Dent. 42, 637; Paravina et al. 2015 (from "
        "memory).",
        "Thresholds for pictures: Song and Luo 2001, CIC9, 219; Stokes, Fairchild and Berns 1992 (from "
        "memory).",
        "Viewers: CIE 170-1:2006; Asano, Fairchild and Blondé 2016, PLoS ONE 11(2), e0145671 (deviations "
        "from "
        "memory).",
        "Appearance: CIE 248:2022. Levels for viewing prints: ISO 3664:2009.",
        "Measurement conditions M0 to M3: ISO 13655.",
    };
    return kSources;
}

}  // namespace greywright::studio
