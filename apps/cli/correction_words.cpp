#include "correction_words.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/numbers.h"

namespace greywright::cli {
namespace {

std::string number(double value, int decimals) {
    return textFromNumber(value, decimals);
}

std::string throughText(int through) {
    return through == 0 ? "as it is" : fmt::format("through correction {}", through);
}

std::string lineOf(const book::MadeFileRecord& file) {
    return fmt::format("     {} {}{}\n", file.kind, file.file,
                       file.source.empty() ? "" : " of " + file.source);
}

/// How to go on with a new correction.
std::string nextText(const std::string& condition, int correction) {
    return fmt::format(
        "\nNext: put a ramp sheet through it,\n"
        "  greywright prepare RAMP.tif --condition '{0}' --correction {1} --out FILE\n"
        "print that, measure it, and read it with\n"
        "  greywright read MEASURED --condition '{0}' --through {1} --sheet NAME\n"
        "(RAMP.tif: greywright sheet ramp NAME --out RAMP.tif)\n",
        condition, correction);
}

/// Runs of tones for the same reason.
std::string remainsText(const correct::NeutralFit& fit) {
    std::string out;
    for (std::size_t i = 0; i < fit.tones.size();) {
        std::size_t end = i;
        double worst = 0;
        while (end < fit.tones.size() && fit.tones[end].remains == fit.tones[i].remains) {
            worst = std::max(worst, fit.tones[end].deltaE00);
            ++end;
        }
        if (fit.tones[i].remains != correct::Remains::nothing) {
            const std::string to = number(fit.tones[end - 1].tonePercent, 0);
            const std::string from = number(fit.tones[i].tonePercent, 0);
            out += fmt::format("  {} %: up to {} from the aim: {}\n", from == to ? to : from + " to " + to,
                               number(worst, 1), correct::textFromRemains(fit.tones[i].remains));
        }
        i = end;
    }
    return out;
}

std::string shareText(double share) {
    return share > 0 && share < 0.001 ? "less than 0.1 %" : number(100 * share, 1) + " %";
}

std::string tonesText(const studio::ToneShare& part) {
    const std::string from = number(part.fromPercent, 1), to = number(part.toPercent, 1);
    return from == to ? from + " %" : fmt::format("{} to {} %", from, to);
}

}  // namespace

std::string wordsFromCurve(const studio::MadeCurve& made, const std::string& condition) {
    std::string out = fmt::format("Correction {}: a curve, {}", made.record.number, made.record.aim);
    out += made.printedAt.empty() ? "\n\n" : fmt::format(", for prints at {}\n\n", made.printedAt);
    out += "worst departure from the tone aim, in L*\n";
    for (const studio::RoundWorth& round : made.rounds) {
        out += fmt::format("  trial {:<4} {:<24} {:>5} at {} %\n", round.trial, throughText(round.through),
                           number(round.worst.L, 1), number(round.worst.tonePercent, 0));
    }
    out += fmt::format("  expected after this curve, give or take     {}\n\n",
                       number(made.fit.expectedErrorL, 1));
    out += "tone   send   90 % of it\n";
    for (const correct::BandPoint& point : made.fit.band) {
        if (std::fmod(point.tonePercent, 10) != 0) continue;
        out += fmt::format("{:>4}  {:>5}   {} to {}\n", number(point.tonePercent, 0),
                           number(made.fit.curve.at(point.tonePercent), 1), number(point.lowPercent, 1),
                           number(point.highPercent, 1));
    }
    return out + nextText(condition, made.record.number);
}

std::string wordsFromTable(const studio::MadeTable& made, const std::string& condition) {
    std::string out = fmt::format("Correction {}: a table, {}\n\n", made.record.number, made.record.aim);
    if (!made.rounds.empty()) out += "worst CIEDE2000 of earlier prints from this aim, under D50\n";
    for (const studio::RoundWorth& round : made.rounds) {
        out += fmt::format("  trial {:<4} {:<24} {:>5} at {} %\n", round.trial, throughText(round.through),
                           number(round.worst.L, 1), number(round.worst.tonePercent, 0));
    }
    out += fmt::format("expected with this table: {} at {} %\n", number(made.fit.worst.deltaE00, 1),
                       number(made.fit.worst.tonePercent, 0));
    for (std::size_t i = 0; i < made.lights.size(); ++i) {
        double worst = 0;
        for (const correct::NeutralTone& tone : made.fit.tones)
            worst = std::max(worst, tone.deltaE00Under[i]);
        out += fmt::format("  tint under {}: {} at worst\n", made.lights[i], number(worst, 1));
    }
    const std::string remains = remainsText(made.fit);
    out += remains.empty() ? "Nothing remains that anybody is likely to see.\n"
                           : "what remains, and why\n" + remains;
    if (!made.notice.empty())
        out +=
            "who would notice, if all had average eyes; judging a print through it says more, for eyes "
            "differ\n";
    for (const studio::ForetoldNotice& one : made.notice) {
        out += fmt::format("  {:<18} {:>3} % beside a neutral, {:>3} % on a wall\n", one.light,
                           number(100 * one.beside.value, 0), number(100 * one.alone.value, 0));
    }
    if (made.toned) {
        out += fmt::format(
            "the tone on purpose, of viewers under D50: {} % would notice it beside a neutral print, {} % on "
            "a "
            "wall;\n{} % would call it overdone (an assumption)\n",
            number(100 * made.toned->beside.value, 0), number(100 * made.toned->alone.value, 0),
            number(100 * made.toned->overdone.value, 0));
    }
    return out + nextText(condition, made.record.number);
}

std::string wordsFromCorrections(const std::vector<book::CorrectionRecord>& corrections,
                                 const std::vector<book::MadeFileRecord>& made) {
    if (corrections.empty() && made.empty()) {
        return "No correction yet; make one with: greywright curve --condition NAME, or: greywright "
               "neutralise "
               "--condition NAME\n";
    }
    std::string out;
    const auto isInUse = [](const book::CorrectionRecord& record) { return !record.withdrawnBecause; };
    const auto latest = std::ranges::find_if(corrections.rbegin(), corrections.rend(), isInUse);
    for (const book::CorrectionRecord& record : corrections) {
        const bool isNext = latest != corrections.rend() && &record == &*latest;
        out += fmt::format(
            "{:>3}  {:<6} {}  from trial{} {}{}  {}\n", record.number, record.kind, record.when.substr(0, 10),
            record.trials.size() == 1 ? "" : "s", fmt::join(record.trials, ", "),
            record.replaces == 0 ? "" : fmt::format(", after correction {}", record.replaces), record.aim);
        if (record.withdrawnBecause) out += fmt::format("     out of use: {}\n", *record.withdrawnBecause);
        if (isNext) out += "     in use: pictures go through this one\n";
        for (const book::MadeFileRecord& file : made) {
            if (file.correction != record.number) continue;
            out += lineOf(file);
        }
    }
    const auto isPlain = [](const book::MadeFileRecord& file) { return file.correction == 0; };
    if (std::ranges::any_of(made, isPlain)) out += "without a correction\n";
    for (const book::MadeFileRecord& file : made) {
        if (isPlain(file)) out += lineOf(file);
    }
    return out;
}

std::string wordsFromProfile(const studio::MadeProfile& made) {
    std::string out = fmt::format("Wrote {}: an ICC profile of version {}, \"{}\"", made.file.string(),
                                  made.version, made.description);
    if (made.trial > 0) {
        out += made.isPredicted ? fmt::format(", as foretold from trial {}", made.trial)
                                : fmt::format(", by what trial {} measured", made.trial);
    }
    return out + "; read back and true\n";
}

std::string wordsFromPrepared(const studio::PreparedPictures& prepared) {
    constexpr double kMmPerInch = 25.4;
    std::string out;
    for (const studio::PreparedPicture& one : prepared.pictures) {
        if (one.error) continue;
        const auto mm = [&](std::size_t pixels) {
            return number(static_cast<double>(pixels) / one.pixelsPerInch * kMmPerInch, 1);
        };
        out +=
            fmt::format("Wrote {}: {} x {} pixels, {} x {} mm at {} pixels per inch\n", one.file.string(),
                        one.width, one.height, mm(one.width), mm(one.height), number(one.pixelsPerInch, 1));
    }
    if (!out.empty() && prepared.correction > 0)
        out += fmt::format("They went through correction {}, {}.\n", prepared.correction, prepared.made);
    if (!out.empty()) out += "Print at that size, and let nothing on the way convert its colours.\n";
    return out;
}

std::string wordsFromProof(const studio::Proof& proof) {
    return fmt::format(
        "Wrote {}: how it will look {} under {}, {}{}\n", proof.file.string(),
        proof.correction == 0 ? "without a correction" : throughText(proof.correction), proof.light,
        proof.isPredicted
            ? fmt::format("as foretold from trial {}; nothing was printed through the correction yet",
                          proof.trial)
            : fmt::format("by what trial {} measured", proof.trial),
        proof.magnify > 1 ? fmt::format("; the tint is shown {} times as strong", number(proof.magnify, 1))
                          : "");
}

std::string wordsFromChecks(const std::vector<studio::PictureCheck>& checks) {
    std::string out;
    for (const studio::PictureCheck& check : checks) {
        out += fmt::format("{}, {}, under D50, by {} trial {}\n", check.picture.string(),
                           check.correction == 0 ? "without a correction" : throughText(check.correction),
                           check.isPredicted ? "what is foretold from" : "what was measured of", check.trial);
        if (check.blockedShadows) {
            out += fmt::format("  tones of {} cannot be told from black: {} of the area\n",
                               tonesText(*check.blockedShadows), shareText(check.blockedShadows->share));
        }
        if (check.blockedHighlights) {
            out +=
                fmt::format("  tones of {} cannot be told from paper: {} of the area\n",
                            tonesText(*check.blockedHighlights), shareText(check.blockedHighlights->share));
        }
        for (const studio::ToneShare& part : check.tinted) {
            out += fmt::format("  a tint would show at {}: {} of the area\n", tonesText(part),
                               shareText(part.share));
        }
        out += check.worstTintDeltaE00 > 0
                   ? fmt::format("  the worst tint of its tones: {} from the aim, at {} %\n",
                                 number(check.worstTintDeltaE00, 1), number(check.worstTintTonePercent, 0))
                   : std::string();
        out += check.isGood ? "  Ready to print.\n" : "  Look at it before printing.\n";
    }
    return out;
}

}  // namespace greywright::cli
