#include "judge/judge.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "colour/words.h"
#include "core/said.h"
#include "judge/doubt.h"
#include "judge/sheet_of_ramp.h"
#include "judge/thresholds.h"
#include "judge/tint.h"
#include "judge/tone.h"

namespace greywright::judge {
namespace {

using colour::Lab;

constexpr double kSameTonePercent = 0.005;

// Where a print's greys are greys of their own: neither all but paper nor all but black, where noise counts.
constexpr double kUnevennessFromPercent = 10;
constexpr double kUnevennessToPercent = 90;

// A share of viewers not worth a warning; false alarms alone make 2 %.
constexpr double kHardlyAnybody = 0.05;

// Less of a picture's area than this does not make a tone one of its own.
constexpr double kWorthNaming = 0.01;

const measure::RampPatch* patchAt(const measure::Ramp& ramp, double tonePercent) {
    const auto found = std::ranges::find_if(ramp.patches, [&](const measure::RampPatch& patch) {
        return std::abs(patch.tonePercent - tonePercent) <= kSameTonePercent;
    });
    return found == ramp.patches.end() ? nullptr : &*found;
}

double darkestL(const measure::Ramp& ramp) {
    return std::ranges::min_element(ramp.patches, {}, [](const auto& patch) { return patch.lab.L; })->lab.L;
}

/// The aim for a ramp, its ends taken from the reference where the ramp lacks them.
colour::TintAim aimFor(const measure::Ramp& ramp, const measure::Ramp* reference, const Options& options) {
    colour::TintAim aim{.kind = options.aim, .paper = {}, .blackL = 0, .toning = options.toning};
    const measure::RampPatch* paper = patchAt(ramp, 0);
    if (paper == nullptr && reference != nullptr) paper = patchAt(*reference, 0);
    if (paper != nullptr) {
        aim.paper = paper->lab;
    } else {
        aim.kind = colour::TintAimKind::light;
    }
    // The darkest tone is not always the last one; the fade ends where it is.
    if (patchAt(ramp, 100) != nullptr) {
        aim.blackL = darkestL(ramp);
    } else if (reference != nullptr && patchAt(*reference, 100) != nullptr) {
        aim.blackL = std::min(darkestL(ramp), darkestL(*reference));
    } else {
        aim.blackL = std::min(darkestL(ramp), kTypicalBlackL);
    }
    return aim;
}

std::vector<PatchVerdict> patchesAgainst(const measure::Ramp& ramp, const colour::TintAim& aim) {
    std::vector<PatchVerdict> out;
    for (const measure::RampPatch& patch : ramp.patches) {
        const colour::Tint wanted = aim.at(patch.lab.L);
        const Lab there{patch.lab.L, wanted.a, wanted.b};
        out.push_back({.tonePercent = patch.tonePercent,
                       .lab = patch.lab,
                       .aim = wanted,
                       .aimL = patch.lab.L,
                       .deltaCh = colour::deltaCh(patch.lab, there),
                       .deltaE00 = colour::deltaE2000(patch.lab, there)});
    }
    return out;
}

/// How far a ramp, and the reference where it lends the paper, may be off.
Doubt doubtOf(const measure::Ramp& ramp, const measure::Ramp* reference) {
    Doubt doubt{.tones = ramp.uncertainty.value_or(measure::Uncertainty{})};
    if (patchAt(ramp, 0) != nullptr) {
        doubt.paper = doubt.tones.own;
    } else if (reference != nullptr && reference->uncertainty && patchAt(*reference, 0) != nullptr) {
        doubt.paper = std::hypot(reference->uncertainty->shared, reference->uncertainty->own);
    }
    return doubt;
}

class Judge {
  public:
    Judge(const measure::Ramp& ramp, const Options& options)
        : ramp_(ramp), options_(options), doubt_(doubtOf(ramp, reference())) {}

    Result<Verdict> verdict() {
        const colour::TintAim aim = aimFor(ramp_, reference(), options_);
        out_.aim = aim.kind;
        out_.patches = patchesAgainst(ramp_, aim);
        findEnds();
        noteWhatIsMissing();
        out_.tone = toneOf(out_.patches, out_.paper, out_.black, doubt_.tones.own);
        if (out_.paper && out_.black) {
            for (PatchVerdict& patch : out_.patches) {
                patch.aimL = straightL(*out_.paper, *out_.black, patch.tonePercent);
            }
        }
        const auto interval = intervalOf(out_.patches, aim);
        out_.tint = tintOf(out_.patches, doubt_, interval);
        findSpectra();
        scenes_.push_back(sceneOf(colour::lightByName("D50").value()));
        scenes_.front().lux = options_.d50Lux;
        out_.lights.push_back(lightVerdict(scenes_.front(), out_.patches, interval));
        for (const Scene& scene : options_.scenes) addScene(scene);
        if (options_.viewers) {
            if (auto asked = askViewers(); !asked) return std::move(asked).error();
        }
        out_.isGood = out_.tint.level == TintLevel::none && out_.tone.even.value_or(true) &&
                      out_.tone.monotone.value_or(true) && !out_.tone.cannotTell;
        out_.summary = summary();
        return std::move(out_);
    }

  private:
    /// The reading that lends what this one lacks; null where it lacks nothing.
    [[nodiscard]] const measure::Ramp* reference() const {
        const bool lacksNothing = patchAt(ramp_, 0) != nullptr && patchAt(ramp_, 100) != nullptr;
        return options_.reference && !lacksNothing ? &*options_.reference : nullptr;
    }

    void note(std::string code, std::string text) {
        out_.notes.push_back({.code = std::move(code), .text = std::move(text), .where = {}});
    }

    void findEnds() {
        if (const auto* paper = patchAt(ramp_, 0); paper != nullptr) out_.paper = paper->lab;
        if (const auto* black = patchAt(ramp_, 100); black != nullptr) out_.black = black->lab;
        if (!out_.black) return;
        // CIELAB is relative to D50, so Y under D50 is in L* already; the density of custom.
        constexpr colour::Xyz kUnitWhite{100, 100, 100};
        out_.visualDensityBlack =
            colour::visualDensityFromY(colour::xyzFromLab({out_.black->L, 0, 0}, kUnitWhite).Y);
    }

    [[nodiscard]] bool isPlainSomewhere() const {
        return std::ranges::any_of(out_.lights,
                                   [](const LightVerdict& light) { return light.level == TintLevel::plain; });
    }

    void noteWhatIsMissing() {
        const bool paperElsewhere = reference() != nullptr && patchAt(*reference(), 0) != nullptr;
        if (!out_.paper) {
            note("no-paper",
                 paperElsewhere
                     ? said("bare paper was not measured on this sheet; the tint aim starts from the "
                            "paper of another reading")
                 : options_.aim == colour::TintAimKind::light
                     ? said("bare paper was not measured")
                     : said("bare paper was not measured, so neutral to the light is the aim"));
        }
        if (!out_.black)
            note("no-black",
                 said("maximum black (100 %) was not measured, so evenness and density are open"));
        if (ramp_.patches.size() < kFewestTones) {
            note("few-tones",
                 said("{} {} measured: what happens between them is not known", ramp_.patches.size(),
                      ramp_.patches.size() == 1 ? said("tone was") : said("tones were")));
        }
        if (!options_.scenes.empty() && !ramp_.grid) {
            note("no-spectra",
                 said("the reading has no spectra, so it says nothing about other lights than D50"));
        }
        if (!doubt_.isNone()) {
            note("uncertain-reading",
                 said("a* and b* may be off by {:.2f} for all tones alike and by {:.2f} for each "
                      "(standard deviations); figures are given as read, and what that leaves open is "
                      "said to be open",
                      doubt_.tones.shared, doubt_.tones.own));
        }
    }

    void findSpectra() {
        if (!ramp_.grid) return;
        sheet_ = sheetOfRamp(ramp_, options_.second ? &*options_.second : nullptr, out_.notes);
        std::vector<Note> already;  // what is said of this sheet need not be said of the other
        if (reference() != nullptr && reference()->grid) {
            referenceSheet_ = sheetOfRamp(*reference(), nullptr, already);
            // Where the glow of these patches could not be held apart, that of the lent ones stays in as
            // well.
            if (!sheet_->hasGlow() && reference()->condition == ramp_.condition) {
                std::vector<std::vector<double>> rows;
                for (const measure::RampPatch& patch : reference()->patches)
                    rows.push_back(patch.reflectance);
                referenceSheet_ = colour::sheetFromReflectances(*reference()->grid, rows);
            }
        }
        const std::vector<double>* paper = nullptr;
        if (patchAt(ramp_, 0) != nullptr) {
            paper = &sheet_->reflectance.front();
        } else if (referenceSheet_ && patchAt(*reference(), 0) != nullptr) {
            paper = &referenceSheet_->reflectance.front();
        }
        const std::vector<double> flat(colour::kFineGrid.count, 1);
        for (std::size_t i = 0; i < out_.patches.size(); ++i) {
            PatchVerdict& patch = out_.patches[i];
            patch.unevennessPercent =
                unevennessPercent(sheet_->reflectance[i], paper != nullptr ? *paper : flat);
            if (patch.tonePercent < kUnevennessFromPercent || patch.tonePercent > kUnevennessToPercent)
                continue;
            if (out_.unevennessPercent && *patch.unevennessPercent <= *out_.unevennessPercent) continue;
            out_.unevennessPercent = patch.unevennessPercent;
            out_.unevennessTonePercent = patch.tonePercent;
        }
    }

    Outcome askViewers() {
        if (out_.tint.level == TintLevel::unknown) {
            note("viewers-uncertain",
                 said("viewers are not asked: the reading is not certain enough to say what they would see"));
            return Done{};
        }
        if (!ramp_.grid) {
            note("viewers-without-spectra",
                 said("the reading has no spectra: viewers differ in their thresholds only, all with the "
                      "eyes of "
                      "the "
                      "standard observer; who sees the colours of these inks differently cannot be told"));
        }
        NoticeSubject subject = subjectOfRamp(ramp_, sheet_ ? &*sheet_ : nullptr, reference(),
                                              referenceSheet_ ? &*referenceSheet_ : nullptr, options_.aim);
        subject.toning = options_.toning;
        if (!options_.pictureShares.empty()) {
            subject.toneWeights = weightsOf(subject);
            notePicture(subject);
        }
        auto seen = notice(subject, scenes_, *options_.viewers);
        if (!seen) return std::move(seen).error();
        for (std::size_t i = 0; i < scenes_.size(); ++i) out_.lights[i].notice = seen->scenes[i];
        out_.notice = *std::move(seen);
        return Done{};
    }

    void notePicture(const NoticeSubject& subject) {
        double least = 100, most = 0;
        for (std::size_t i = 0; i < subject.toneWeights.size(); ++i) {
            if (subject.toneWeights[i] < kWorthNaming) continue;
            least = std::min(least, subject.tonesPercent[i]);
            most = std::max(most, subject.tonesPercent[i]);
        }
        note(
            "picture-tones",
            said(
                "the picture lives in tones from {:.0f} to {:.0f} %; who would notice is answered for these, "
                "the standard observer's figures are for the whole ramp",
                least, most));
    }

    /// Every bin of a picture's lightness goes to the tone that is nearest to it in L*. The picture's own
    /// range from black to white is the print's.
    [[nodiscard]] std::vector<double> weightsOf(const NoticeSubject& subject) const {
        const auto [black, white] = std::ranges::minmax_element(subject.labs, {}, &Lab::L);
        const double darkest = black->L, lightest = white->L;
        std::vector<double> weights(subject.labs.size());
        for (std::size_t bin = 0; bin < options_.pictureShares.size(); ++bin) {
            const double L = darkest + (lightest - darkest) * static_cast<double>(bin) /
                                           static_cast<double>(options_.pictureShares.size() - 1);
            const auto nearest = std::ranges::min_element(
                subject.labs, {}, [&](const Lab& lab) { return std::abs(lab.L - L); });
            weights[static_cast<std::size_t>(nearest - subject.labs.begin())] += options_.pictureShares[bin];
        }
        return weights;
    }

    void addScene(const Scene& scene) {
        const bool isPlainD50 = scene.name == "D50" && scene.glazing.transmittance.empty();
        if (!sheet_ || isPlainD50) return;
        const measure::Ramp seen = rampUnder(ramp_, *sheet_, scene);
        std::optional<measure::Ramp> seenReference;
        if (referenceSheet_) seenReference = rampUnder(*reference(), *referenceSheet_, scene);
        const colour::TintAim aim = aimFor(seen, seenReference ? &*seenReference : nullptr, options_);
        if (aim.kind != out_.aim) {
            note("light-without-paper",
                 said("under {} neutral to the light is the aim: the paper has no spectrum", scene.name));
        }
        scenes_.push_back(scene);
        const std::vector<PatchVerdict> patches = patchesAgainst(seen, aim);
        out_.lights.push_back(lightVerdict(scene, patches, intervalOf(patches, aim)));
    }

    /// Empty for a reading that is taken as it is.
    [[nodiscard]] std::optional<Interval> intervalOf(const std::vector<PatchVerdict>& patches,
                                                     const colour::TintAim& aim) const {
        if (doubt_.isNone()) return std::nullopt;
        return worstInterval(patches, aim, doubt_);
    }

    static LightVerdict lightVerdict(const Scene& scene, const std::vector<PatchVerdict>& patches,
                                     const std::optional<Interval>& interval) {
        const PatchVerdict& worst = worstPatch(patches);
        LightVerdict out{.name = scene.name,
                         .description = translated(scene.description.c_str()),
                         .lux = scene.lux,
                         .glazing = scene.glazing.transmittance.empty() ? std::string() : scene.glazing.name,
                         .worstTonePercent = worst.tonePercent,
                         .deltaE00 = worst.deltaE00,
                         .tint = deviation(worst),
                         .level = levelFromDeltaE00(worst.deltaE00)};
        if (!interval) return out;
        out.deltaE00Low = interval->low;
        out.deltaE00High = interval->high;
        out.level = levelWithin(worst.deltaE00, *interval);
        return out;
    }

    /// A light shows a tint for certain, and more of it than D50 does.
    [[nodiscard]] bool showsMore(const LightVerdict& light) const {
        if (light.level == TintLevel::unknown) return false;
        if (out_.tint.level == TintLevel::unknown) return light.level != TintLevel::none;
        return light.level > out_.tint.level;
    }

    [[nodiscard]] std::string summary() const {
        std::string text = sentenceOf(out_.tint);
        text += " " + out_.tone.words;
        // One light is enough for a sentence: the one that shows most, where it shows more than D50.
        const LightVerdict& worst = *std::ranges::max_element(out_.lights, {}, &LightVerdict::deltaE00);
        if (showsMore(worst)) {
            text += said(" Under {} the tint is {}: {:.1f} towards {} at {:.0f} %.", worst.name,
                         worst.level == TintLevel::plain ? said("plain") : said("slight"), worst.deltaE00,
                         colour::tintName(worst.tint), worst.worstTonePercent);
        }
        if (out_.tint.level == TintLevel::unknown || out_.tone.cannotTell) {
            text += " " + whatWouldTell(doubt_);
        }
        if (out_.notice && out_.tint.level != TintLevel::unknown) text += " " + noticeSentence();
        if (out_.isGood)
            text +=
                isPlainSomewhere()
                    ? said(
                          " Under D50 it is good as it is; what other lights show takes a setting or a table "
                          "for them.")
                    : said(" It is good as it is; more adjusting would change nothing that can be seen.");
        if (!out_.tint.advice.empty()) text += " " + out_.tint.advice;
        return text;
    }

    /// The scene in which most notice, in words.
    [[nodiscard]] std::string noticeSentence() const {
        const auto share = [](const LightVerdict& light) { return light.notice->beside.value; };
        const LightVerdict& worst = *std::ranges::max_element(out_.lights, {}, share);
        const auto percent = [](double value) { return fmt::format("{:.0f} %", 100 * value); };
        if (worst.notice->beside.value < kHardlyAnybody)
            return said("Hardly any viewer would notice a tint, in any of the lights.");
        return said(
            "It is noticed most in {}: by {} of viewers beside something neutral, by {} with the print "
            "alone, "
            "at {:.0f} % tone.",
            worst.name, percent(worst.notice->beside.value), percent(worst.notice->alone.value),
            worst.notice->givesAwayTonePercent);
    }

    const measure::Ramp& ramp_;
    const Options& options_;
    Doubt doubt_;
    std::vector<Scene> scenes_;  // those of out_.lights
    std::optional<colour::SheetSpectra> sheet_, referenceSheet_;
    Verdict out_;
};

}  // namespace

std::string_view textFromLevel(TintLevel level) {
    switch (level) {
        case TintLevel::none:
            return "none";
        case TintLevel::slight:
            return "slight";
        case TintLevel::plain:
            return "plain";
        case TintLevel::unknown:
            return "cannot-tell";
    }
    return "none";
}

TintLevel levelFromDeltaE00(double worst) {
    if (worst <= kNobodySeesDeltaE00) return TintLevel::none;
    return worst <= kPlainDeltaE00 ? TintLevel::slight : TintLevel::plain;
}

Result<Verdict> judge(const measure::Ramp& ramp, const Options& options) {
    expects(std::ranges::is_sorted(ramp.patches, {}, &measure::RampPatch::tonePercent),
            "a ramp's patches are in ascending order of tone");
    if (ramp.patches.empty()) {
        return Error{.code = "no-patches",
                     .what = said("the ramp has no patches"),
                     .where = {},
                     .next = said("Measure a sheet with a ramp, or at least one printed tone")};
    }
    if (ramp.patches.back().tonePercent < kPalestJudgedTonePercent) {
        return Error{.code = "no-tones",
                     .what = said("only bare paper was measured, nothing printed"),
                     .where = {},
                     .next = said("Measure tones of 5 % and more")};
    }
    return Judge(ramp, options).verdict();
}

}  // namespace greywright::judge
