// Pictures through a correction: made ready, looked at beforehand, checked.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "colour/difference.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/said.h"
#include "correct/curve.h"
#include "correct/table.h"
#include "judge/sheet_of_ramp.h"
#include "judge/thresholds.h"
#include "picture/apply.h"
#include "studio/encodings.h"
#include "studio/outputs.h"
#include "studio/printed_ramp.h"
#include "studio/screen.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kCodes = 65536;
constexpr double kFullCode = 65535;
constexpr double kMostMagnified = 30;

// More of the area than this in tones that are lost or tinted is worth a word.
constexpr double kLeastShare = 0.01;

Error wrong(const char* code, std::string what, std::string next, const char* field) {
    return {.kind = ErrorKind::wrongUse,
            .code = code,
            .what = std::move(what),
            .where = {.field = field},
            .next = std::move(next)};
}

double toneOfCode(std::size_t code) {
    return 100 * (1 - static_cast<double>(code) / kFullCode);
}

std::uint16_t rounded(double code) {
    return static_cast<std::uint16_t>(std::lround(std::clamp(code, 0.0, kFullCode)));
}

struct Codes {
    std::vector<std::uint16_t> table = {};
    int channels = 1;
};

Result<Codes> codesOf(const std::optional<book::CorrectionRecord>& correction) {
    Codes out;
    if (!correction) return out;
    const auto failed = [&](Error error) {
        error.where.field = said("correction {}", correction->number);
        return error;
    };
    if (correction->kind == "curve") {
        const auto curve = correct::ToneCurve::fromText(correction->content);
        if (!curve) return failed(curve.error());
        for (std::size_t code = 0; code < kCodes; ++code)
            out.table.push_back(rounded(kFullCode * (1 - curve->at(toneOfCode(code)) / 100)));
        return out;
    }
    const auto table = correct::NeutralTable::fromText(correction->content);
    if (!table) return failed(table.error());
    out.channels = 3;
    for (std::size_t code = 0; code < kCodes; ++code) {
        for (const double sent : table->at(toneOfCode(code))) out.table.push_back(rounded(sent));
    }
    return out;
}

std::optional<picture::FileFormat> formatOfEnding(const fs::path& file) {
    const std::string ending = file.extension().string();
    if (sameName(ending, ".tif") || sameName(ending, ".tiff")) return picture::FileFormat::tiff;
    if (sameName(ending, ".png")) return picture::FileFormat::png;
    return std::nullopt;
}

/// Where each picture goes. Several of one name get numbers.
struct Goal {
    fs::path file = {};
    picture::FileFormat format = picture::FileFormat::tiff;
};

Result<std::vector<Goal>> goalsOf(const PrepareRequest& request) {
    if (request.pictures.size() == 1) {
        if (const auto format = formatOfEnding(request.out)) return std::vector<Goal>{{request.out, *format}};
    }
    std::error_code ignored;
    if (request.out.has_extension() && !fs::is_directory(request.out, ignored)) {
        return wrong(
            "file-ending",
            request.pictures.size() == 1
                ? said("'{}' is no folder, and its ending does not say what to write", request.out.string())
                : said("'{}' is no folder, and several pictures are to be written", request.out.string()),
            said("Name a folder; or, for one picture, a file that ends in .tif or .png"), "--out");
    }
    if (request.format != "tiff" && request.format != "png") {
        return wrong("format-unknown", said("'{}' is no format that can be written", request.format),
                     said("Choose tiff or png"), "--format");
    }
    const bool isPng = request.format == "png";
    std::vector<Goal> goals;
    for (const fs::path& picture : request.pictures) {
        const std::string stem = picture.stem().string();
        fs::path file;
        for (int copy = 1;; ++copy) {
            const std::string name =
                copy == 1 ? stem + "-to-print" : fmt::format("{}-to-print-{}", stem, copy);
            file = request.out / (name + (isPng ? ".png" : ".tif"));
            if (std::ranges::none_of(goals, [&](const Goal& goal) { return goal.file == file; })) break;
        }
        goals.push_back({file, isPng ? picture::FileFormat::png : picture::FileFormat::tiff});
    }
    return goals;
}

/// Tones as one sees them: whether a colour can be told from paper or black.
bool canBeTold(const colour::Lab& one, const colour::Lab& other) {
    return colour::deltaE2000(one, other) >= judge::kJustPerceptibleDeltaE00;
}

/// The area in tones from..to. Shape: shares as of picture::greyShares(), black first.
double areaIn(const std::vector<double>& shares, double fromPercent, double toPercent) {
    double sum = 0;
    for (std::size_t i = 0; i < shares.size(); ++i) {
        const double tone = 100 * (1 - (static_cast<double>(i) + 0.5) / static_cast<double>(shares.size()));
        if (tone >= fromPercent && tone <= toPercent) sum += shares[i];
    }
    return sum;
}

/// Distance from the tint that is wanted, at equal lightness.
double tintAt(const measure::Ramp& ramp, const WantedTint& wanted, double tonePercent) {
    const colour::Lab lab = labAt(ramp, tonePercent);
    const colour::Tint aim = wanted.at(ramp, lab.L);
    return colour::deltaE2000(lab, {lab.L, aim.a, aim.b});
}

/// Lightness of a tone if the ramp were even between its ends.
colour::Lab evenAt(const measure::Ramp& ramp, double tonePercent) {
    const double paperL = ramp.patches.front().lab.L, blackL = ramp.patches.back().lab.L;
    return {paperL + (blackL - paperL) * tonePercent / 100, 0, 0};
}

bool wentThroughBefore(const fs::path& picture, const std::vector<book::MadeFileRecord>& made) {
    std::error_code ignored;
    return std::ranges::any_of(made, [&](const book::MadeFileRecord& file) {
        return file.correction != 0 && fs::equivalent(picture, file.file, ignored);
    });
}

}  // namespace

Result<PreparedPictures> Studio::preparePictures(const PrepareRequest& request) const {
    if (request.pictures.empty())
        return wrong("no-pictures", said("no picture is named"), said("Name one or more"), "pictures");
    if (request.bits != 8 && request.bits != 16) {
        return wrong("bits-invalid", said("{} bits cannot be written", request.bits),
                     said("Choose 16, or 8 with dither"), "--bits");
    }
    for (const auto& [size, field] :
         {std::pair{request.widthMm, "--width-mm"}, std::pair{request.pixelsPerInch, "--ppi"}}) {
        if (!size || (std::isfinite(*size) && *size > 0)) continue;
        return wrong("size-invalid", said("{} is no size", textFromNumber(*size)),
                     said("Give a number above 0"), field);
    }
    const auto goals = goalsOf(request);
    if (!goals) return goals.error();
    std::vector<fs::path> kept = request.pictures;
    kept.push_back(book_);
    for (const Goal& goal : *goals) {
        // That a file exists is told with its own picture; that one would be lost stops all.
        if (auto may = mayWrite(goal.file, IfThere::replace, kept); !may) return std::move(may).error();
    }
    const auto correction = chosenCorrection(request.condition, request.correction);
    if (!correction) return correction.error();
    auto codes = codesOf(*correction);
    if (!codes) return std::move(codes).error();
    auto profile = profileNamed(!request.encoding.empty() ? request.encoding
                                : codes->channels == 3    ? "srgb"
                                                          : "grey");
    if (!profile) return std::move(profile).error();
    const auto channels = picture::channelsOfProfile(*profile);
    if (!channels) return channels.error();
    if (*channels < codes->channels) {
        return wrong("encoding-grey", said("a table makes colours, and a grey encoding has none"),
                     said("Choose srgb, p3 or a profile of RGB"), "--encoding");
    }
    if (*channels > codes->channels) {
        // Grey pictures for a condition whose sheets were RGB: the same code in each channel.
        std::vector<std::uint16_t> spread;
        for (std::size_t code = 0; code < kCodes; ++code) {
            const std::uint16_t one =
                codes->table.empty() ? static_cast<std::uint16_t>(code) : codes->table[code];
            spread.insert(spread.end(), 3, one);
        }
        codes->table = std::move(spread);
        codes->channels = 3;
    }

    PreparedPictures out{.correction = *correction ? (*correction)->number : 0};
    if (*correction) {
        auto notes = notesOn(request.condition, **correction);
        if (!notes) return std::move(notes).error();
        out.notes = *std::move(notes);
    }
    if (*correction) out.made = fmt::format("a {}, {}", (*correction)->kind, (*correction)->aim);
    if (!*correction && !request.correction) {
        out.notes.push_back(
            {.code = "no-correction",
             .text = said("'{}' has no correction: tones are sent as they are", request.condition)});
    }
    const auto before = madeFiles(request.condition);
    if (!before) return before.error();
    std::vector<book::MadeFileRecord> made;
    for (std::size_t i = 0; i < request.pictures.size(); ++i) {
        const Goal& goal = (*goals)[i];
        PreparedPicture one{.picture = request.pictures[i]};
        std::error_code problem;
        if (goal.file.has_parent_path()) fs::create_directories(goal.file.parent_path(), problem);
        const picture::Preparation how{
            .table = codes->table,
            .channels = codes->channels,
            .bits = request.bits,
            .profile = *profile,
            .format = goal.format,
            .widthMm = request.widthMm,
            .pixelsPerInch = request.pixelsPerInch,
            .goOn = [&](double share) { return !request.goOn || request.goOn(i, share); }};
        auto may = mayWrite(goal.file, request.replace ? IfThere::replace : IfThere::refuse, kept);
        auto done = may ? picture::prepare(one.picture, goal.file, how)
                        : Result<picture::Prepared>(std::move(may).error());
        if (done) {
            one.file = goal.file;
            one.width = done->width;
            one.height = done->height;
            one.pixelsPerInch = done->pixelsPerInch;
            one.notes = std::move(done->notes);
            if (wentThroughBefore(one.picture, *before)) {
                one.notes.push_back(
                    {.code = "corrected-twice",
                     .text = said("this picture was itself made with a correction of this condition; "
                                  "it has now gone through two"),
                     .where = {.path = one.picture.string()}});
            }
            made.push_back({.correction = out.correction,
                            .kind = "picture",
                            .source = fs::absolute(one.picture).string(),
                            .file = fs::absolute(one.file).string(),
                            .when = request.when});
        } else {
            one.error = std::move(done).error();
        }
        const bool isStopped = one.error && one.error->code == "stopped";
        out.pictures.push_back(std::move(one));
        if (isStopped) break;
    }
    if (!made.empty()) {
        auto book = openExisting();
        Outcome added = book ? book->addMadeFiles(request.condition, made) : Outcome(book.error());
        if (!added) {
            out.notes.push_back({.code = "not-kept",
                                 .text = said("the pictures are made, but the book does not know of them: ") +
                                         added.error().text()});
        }
    }
    return out;
}

Result<Proof> Studio::proof(const ProofRequest& request) const {
    if (formatOfEnding(request.out) != picture::FileFormat::png) {
        return wrong("file-ending", said("a proof is a PNG, and the name says something else"),
                     said("Let it end in .png"), "--proof");
    }
    if (!(request.magnify >= 1 && request.magnify <= kMostMagnified)) {
        return wrong("magnify-out-of-range",
                     said("a tint cannot be shown {} times as strong", textFromNumber(request.magnify)),
                     said("Give 1 to {}", kMostMagnified), "--magnify");
    }
    if (auto may = mayWrite(request.out, request.replace ? IfThere::replace : IfThere::refuse,
                            {book_, request.picture});
        !may)
        return std::move(may).error();
    const auto correction = chosenCorrection(request.condition, request.correction);
    if (!correction) return correction.error();
    auto printed = printedRamp(request.condition, *correction);
    if (!printed) return std::move(printed).error();

    Proof out{.file = request.out,
              .correction = *correction ? (*correction)->number : 0,
              .trial = printed->trial,
              .isPredicted = printed->isPredicted,
              .light = request.light.empty() ? "D50" : request.light,
              .magnify = request.magnify,
              .notes = printed->notes};
    measure::Ramp seen = printed->ramp;
    if (!request.light.empty()) {
        const auto scenes = scenesOf({{request.light, 1}});
        if (!scenes) return scenes.error();
        if (!printed->ramp.grid) {
            return wrong(
                "light-without-spectra",
                said("what the print looks like in another light than D50 is not known: there are no "
                     "spectra of it"),
                said("Print a ramp through the correction and read it with spectra, or look at it under D50"),
                "--light");
        }
        const colour::SheetSpectra sheet = judge::sheetOfRamp(printed->ramp, nullptr, out.notes);
        seen = judge::rampUnder(printed->ramp, sheet, scenes->front());
    }
    const WantedTint aim = wantedIn(*correction);
    std::vector<std::uint16_t> table;
    for (std::size_t code = 0; code < kCodes; ++code) {
        colour::Lab lab = labAt(seen, toneOfCode(code));
        const colour::Tint wanted = aim.at(seen, lab.L);
        lab.a = wanted.a + request.magnify * (lab.a - wanted.a);
        lab.b = wanted.b + request.magnify * (lab.b - wanted.b);
        for (const double share : srgbFromLab(lab)) table.push_back(rounded(kFullCode * share));
    }
    auto profile = profileNamed("srgb");
    if (!profile) return std::move(profile).error();
    const auto done = picture::prepare(request.picture, request.out,
                                       {.table = std::move(table),
                                        .channels = 3,
                                        .bits = 8,
                                        .profile = *std::move(profile),
                                        .format = picture::FileFormat::png,
                                        .goOn = request.goOn});
    if (!done) return done.error();
    out.notes.insert(out.notes.end(), done->notes.begin(), done->notes.end());
    return out;
}

Result<PictureCheck> Studio::checkPicture(const CheckRequest& request) const {
    const auto correction = chosenCorrection(request.condition, request.correction);
    if (!correction) return correction.error();
    auto printed = printedRamp(request.condition, *correction);
    if (!printed) return std::move(printed).error();
    const WantedTint wanted = wantedIn(*correction);
    auto shares = picture::greyShares(request.picture);
    if (!shares) return std::move(shares).error();
    // What is paper or black in the picture itself has no detail to lose.
    shares->front() = shares->back() = 0;

    PictureCheck out{.picture = request.picture,
                     .correction = *correction ? (*correction)->number : 0,
                     .trial = printed->trial,
                     .isPredicted = printed->isPredicted,
                     .notes = printed->notes};
    constexpr double kStep = 0.1;
    // The last tones before black and the first beside paper are lost on any ramp; what an even one with
    // these ends would keep apart, and this one does not, is blocked.
    const auto isLost = [&](double tone, double end) {
        return !canBeTold(labAt(printed->ramp, tone), labAt(printed->ramp, end));
    };
    const auto isLostEvenly = [&](double tone, double end) {
        return !canBeTold(evenAt(printed->ramp, tone), evenAt(printed->ramp, end));
    };
    double dark = 100, evenDark = 100, light = 0, evenLight = 0;
    while (dark > 0 && isLost(dark - kStep, 100)) dark -= kStep;
    while (evenDark > 0 && isLostEvenly(evenDark - kStep, 100)) evenDark -= kStep;
    while (light < 100 && isLost(light + kStep, 0)) light += kStep;
    while (evenLight < 100 && isLostEvenly(evenLight + kStep, 0)) evenLight += kStep;
    if (dark < evenDark) out.blockedShadows = ToneShare{dark, evenDark, areaIn(*shares, dark, evenDark)};
    if (light > evenLight)
        out.blockedHighlights = ToneShare{evenLight, light, areaIn(*shares, evenLight, light)};
    std::optional<ToneShare> run;
    for (int i = 0; i <= 1000; ++i) {
        const double tone = kStep * i;
        const double area = areaIn(*shares, tone - kStep / 2, tone + kStep / 2);
        const double tint = tone < judge::kPalestJudgedTonePercent ? 0 : tintAt(printed->ramp, wanted, tone);
        if (area > 0 && tint > out.worstTintDeltaE00) {
            out.worstTintDeltaE00 = tint;
            out.worstTintTonePercent = tone;
        }
        if (tint > judge::kNobodySeesDeltaE00) {
            if (!run) run = ToneShare{tone, tone, 0};
            run->toPercent = tone;
            run->share += area;
        } else if (run) {
            if (run->share > 0) out.tinted.push_back(*run);
            run.reset();
        }
    }
    if (run && run->share > 0) out.tinted.push_back(*run);
    const auto matters = [](const std::optional<ToneShare>& part) {
        return part && part->share > kLeastShare;
    };
    double tinted = 0;
    for (const ToneShare& part : out.tinted) tinted += part.share;
    out.isGood = !matters(out.blockedShadows) && !matters(out.blockedHighlights) && tinted <= kLeastShare;
    return out;
}

}  // namespace greywright::studio
