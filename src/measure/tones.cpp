#include "measure/tones.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "colour/light.h"
#include "core/contract.h"
#include "core/numbers.h"
#include "core/said.h"
#include "measure/strip_order.h"

namespace greywright::measure {
namespace {

using colour::Lab;

// Two tones closer than this are one: device values in files are rounded to two decimals at worst.
constexpr double kSameTonePercent = 0.005;

// Rises of lightness towards darker tones. Inks that turn lighter where they pool, worn paper and instruments
// explain a few units, not more (common practice; no published figure).
constexpr double kGrossRise = 6;
constexpr double kToldRise = 2;

constexpr double kToldSpreadDeltaE = 1;
constexpr double kGrossSpreadLightness = 8;

// What makes a ramp unmistakable where no tones are given.
constexpr std::size_t kLeastRampPatches = 5;
constexpr double kLeastRampRange = 40;
constexpr double kMostRampRise = 1;

constexpr const char* kGiveTones =
    toSay("Give the tones in the order of measuring, or add a column K (0 = paper, 100 = maximum black)");

/// A patch that takes part in the ramp.
struct Member {
    std::size_t patch = 0;  // index into Reading::patches
    double tonePercent = 0;
    Lab lab = {};
};

enum class Origin { stated, ink, light, assumed };

struct Device {
    std::optional<std::size_t> c, m, y, k;
    std::optional<std::size_t> ink;
    std::optional<std::size_t> grey;
    std::optional<std::size_t> r, g, b;
};

Device deviceOf(const Reading& reading) {
    Device device;
    const auto find = [&](const char* name) -> std::optional<std::size_t> {
        const auto at = std::ranges::find(reading.deviceColumns, name);
        if (at == reading.deviceColumns.end()) return std::nullopt;
        return static_cast<std::size_t>(at - reading.deviceColumns.begin());
    };
    device.c = find("CMYK_C");
    device.m = find("CMYK_M");
    device.y = find("CMYK_Y");
    device.k = find("CMYK_K");
    device.ink = find("K");
    device.grey = find("GREY");
    device.r = find("RGB_R");
    device.g = find("RGB_G");
    device.b = find("RGB_B");
    return device;
}

class ToneFinder {
  public:
    ToneFinder(const Reading& reading, const ToneOptions& options) : reading_(reading), options_(options) {
        const std::size_t columns = reading.deviceColumns.size();
        expects(
            std::ranges::all_of(reading.patches, [&](const Patch& p) { return p.device.size() == columns; }),
            "rampFromReading: one device value per column and patch");
        spectral_ = reading.grid && std::ranges::all_of(reading.patches, [&](const Patch& patch) {
                        return patch.reflectance.size() == reading.grid->count;
                    });
        if (reading.grid) {
            colorimeter_.emplace(colour::observer(colour::ObserverName::cie1931),
                                 colour::lightByName("D50").value(), *reading.grid);
        }
    }

    Result<Ramp> find() {
        if (reading_.patches.empty()) {
            return refusal("no-patches", said("the reading has no patches"),
                           said("Measure the sheet and export it again"));
        }
        if (auto taken = takeColours(); !taken) return std::move(taken).error();
        if (auto taken = assignTones(); !taken) return std::move(taken).error();
        if (auto checked = checkOrder(); !checked) return std::move(checked).error();
        if (auto merged = mergeRepeats(); !merged) return std::move(merged).error();
        if (spectral_) ramp_.grid = reading_.grid;
        ramp_.condition = reading_.condition;
        ramp_.uncertainty = reading_.uncertainty;
        return std::move(ramp_);
    }

  private:
    Error refusal(std::string code, std::string what, std::string next, std::size_t line = 0,
                  std::string field = {}) const {
        return {.code = std::move(code),
                .what = std::move(what),
                .where = {.path = reading_.path, .line = line, .field = std::move(field)},
                .next = std::move(next)};
    }

    const Patch& patchOf(const Member& member) const { return reading_.patches[member.patch]; }

    Outcome takeColours() {
        for (std::size_t i = 0; i < reading_.patches.size(); ++i) {
            const Patch& patch = reading_.patches[i];
            const bool spectral = colorimeter_ && patch.reflectance.size() == reading_.grid->count;
            if (!patch.lab && !spectral) {
                return refusal(
                    "patch-without-colour", said("patch {} has neither CIELAB nor a spectrum", i + 1),
                    said("Export the measurement with spectra or CIELAB for every patch"), patch.line);
            }
            members_.push_back(
                {i, 0, patch.lab ? *patch.lab : colorimeter_->labFromReflectance(patch.reflectance)});
        }
        return Done{};
    }

    // --- where tones come from ---

    Outcome assignTones() {
        if (auto checked = checkGivenTones(); !checked) return checked;
        const auto toned = std::ranges::count_if(
            reading_.patches, [](const Patch& patch) { return patch.tonePercent.has_value(); });
        if (toned > 0 && toned < std::ssize(reading_.patches)) {
            return refusal("tones-incomplete",
                           said("only {} of {} patches have a tone", toned, reading_.patches.size()),
                           translated(kGiveTones));
        }
        if (toned > 0) {
            for (Member& member : members_) member.tonePercent = *patchOf(member).tonePercent;
            return checkRange();
        }
        if (auto fromDevice = assignFromDevice(); !fromDevice || assigned_) return fromDevice;
        if (!options_.tonesPercent.empty()) return assignGiven();
        return assumeEvenTones();
    }

    Outcome checkGivenTones() const {
        for (const double tone : options_.tonesPercent) {
            if (std::isfinite(tone) && tone >= 0 && tone <= 100) continue;
            Error error =
                refusal("tone-out-of-range", said("the tone {} is not within 0 to 100 percent", tone),
                        said("Give tones in percent: 0 is bare paper, 100 is maximum black"), 0, "--tones");
            error.kind = ErrorKind::wrongUse;
            return error;
        }
        return Done{};
    }

    Outcome checkRange() const {
        for (const Member& member : members_) {
            const double tone = member.tonePercent;
            if (std::isfinite(tone) && tone >= 0 && tone <= 100) continue;
            return refusal("tone-out-of-range", said("the tone {} is not within 0 to 100 percent", tone),
                           said("Give tones in percent: 0 is bare paper, 100 is maximum black"),
                           patchOf(member).line);
        }
        return Done{};
    }

    Outcome assignGiven() {
        const std::size_t given = options_.tonesPercent.size();
        if (given != members_.size()) {
            const bool missing = given > members_.size();
            return refusal(
                "wrong-number-of-tones",
                said("{} tones were given for {} measured patches", given, members_.size()),
                missing ? said("Measure the missing patches, or give only the tones that were measured")
                        : said("Give one tone for every measured patch, in the order of measuring"),
                0, "--tones");
        }
        for (std::size_t i = 0; i < given; ++i) members_[i].tonePercent = options_.tonesPercent[i];
        return Done{};
    }

    Outcome assignFromDevice() {
        const Device device = deviceOf(reading_);
        Outcome outcome = Done{};
        if (device.k) {
            keepBlackOnly(device);
            if (members_.empty()) {
                return refusal("no-black-ramp", said("no patch is printed with black ink alone"),
                               said("Measure a ramp of black ink alone, or a grey ramp sent as RGB or GREY"));
            }
            outcome = assignFromColumn(*device.k, Origin::ink);
        } else if (device.ink) {
            outcome = assignFromColumn(*device.ink, Origin::ink);
        } else if (device.grey) {
            outcome = assignFromGrey(*device.grey);
        } else if (device.r && device.g && device.b) {
            keepNeutralOnly(device);
            if (members_.empty()) {
                return refusal("no-black-ramp", said("no patch was sent with R, G and B equal"),
                               said("Measure a grey ramp: patches sent with R = G = B"));
            }
            outcome = assignFromColumn(*device.r, Origin::light);
        } else {
            return outcome;
        }
        assigned_ = true;
        if (outcome) tellIgnoredTones();
        return outcome;
    }

    void tellIgnoredTones() {
        if (options_.tonesPercent.empty()) return;
        const bool same = options_.tonesPercent.size() == members_.size() &&
                          std::ranges::all_of(members_, [&](const Member& member) {
                              return std::abs(options_.tonesPercent[member.patch] - member.tonePercent) < 0.5;
                          });
        if (same) return;
        ramp_.notes.push_back({"tones-not-used", said("the file has its own device values; the tones that "
                                                      "were given differ from them and were not used")});
    }

    void keepBlackOnly(const Device& device) {
        keep(
            [&](const Patch& patch) {
                for (const auto& ink : {device.c, device.m, device.y}) {
                    if (ink && patch.device[*ink] != 0) return false;
                }
                return true;
            },
            said("are not printed with black ink alone"));
    }

    void keepNeutralOnly(const Device& device) {
        keep(
            [&](const Patch& patch) {
                return patch.device[*device.r] == patch.device[*device.g] &&
                       patch.device[*device.g] == patch.device[*device.b];
            },
            said("were not sent with R, G and B equal"));
    }

    template <typename Wanted>
    void keep(Wanted wanted, const std::string& why) {
        const std::size_t before = members_.size();
        std::erase_if(members_, [&](const Member& member) { return !wanted(patchOf(member)); });
        if (members_.size() == before) return;
        ramp_.notes.push_back({"patches-left-out", said("{} of {} patches {}; they were left out of the ramp",
                                                        before - members_.size(), before, why)});
    }

    /// 100, 255 or 1: what the largest value of the column shows its full scale to be.
    Result<double> fullScale(std::size_t column) {
        double least = 0;
        double most = 0;
        for (const Patch& patch : reading_.patches) {
            least = std::min(least, patch.device[column]);
            most = std::max(most, patch.device[column]);
        }
        if (least < 0 || most > 255) {
            return refusal(
                "device-value-out-of-range",
                said("device values run from {} to {}, neither 0 to 100 nor 0 to 255", least, most),
                translated(kGiveTones), 0, reading_.deviceColumns[column]);
        }
        const bool fraction = most == 1 && members_.size() >= 3;
        const double scale = fraction ? 1 : most <= 100 ? 100 : 255;
        if (most != scale && most > 0) {
            ramp_.notes.push_back(
                {"device-range-assumed", said("the largest {} is {}; full scale was taken to be {}",
                                              reading_.deviceColumns[column], textFromNumber(most), scale)});
        }
        return scale;
    }

    Outcome assignFromColumn(std::size_t column, Origin origin) {
        const auto scale = fullScale(column);
        if (!scale) return scale.error();
        for (Member& member : members_) {
            const double percent = 100 * patchOf(member).device[column] / *scale;
            member.tonePercent = origin == Origin::ink ? percent : 100 - percent;
        }
        return Done{};
    }

    /// Writers of GREY mean ink or light; the end that measured light is paper.
    Outcome assignFromGrey(std::size_t column) {
        const auto [low, high] = std::ranges::minmax_element(
            members_, {}, [&](const Member& member) { return patchOf(member).device[column]; });
        const double fall = low->lab.L - high->lab.L;
        if (std::abs(fall) < 3) {
            return refusal(
                "grey-direction-unclear",
                said("the patches hardly differ in lightness, so it cannot be told whether GREY means ink or "
                     "light"),
                said("Name the column K (ink: 0 = paper) or RGB_R, RGB_G, RGB_B (light: the maximum is "
                     "paper)"),
                patchOf(*low).line, "GREY");
        }
        ramp_.notes.push_back(
            {"grey-direction", fall > 0 ? said("the column GREY was taken as ink (0 is paper), because "
                                               "its low end measured light")
                                        : said("the column GREY was taken as light (0 is black), "
                                               "because its high end measured light")});
        return assignFromColumn(column, fall > 0 ? Origin::ink : Origin::light);
    }

    Outcome assumeEvenTones() {
        const std::size_t count = members_.size();
        const auto [darkest, lightest] =
            std::ranges::minmax_element(members_, {}, [](const Member& member) { return member.lab.L; });
        const bool upwards = members_.front().lab.L < members_.back().lab.L;
        for (std::size_t i = 0; i < count; ++i) {
            const double share = count > 1 ? static_cast<double>(i) / static_cast<double>(count - 1) : 0;
            members_[i].tonePercent = 100 * (upwards ? 1 - share : share);
        }
        const bool wide = count >= kLeastRampPatches && lightest->lab.L - darkest->lab.L >= kLeastRampRange;
        if (wide && largestRise(order()).lightness <= kMostRampRise) {
            ramp_.notes.push_back(
                {"tones-assumed", said("no tones were given; the {} patches are a ramp from {}, and evenly "
                                       "spaced tones were assumed",
                                       count, upwards ? said("black to paper") : said("paper to black"))});
            return Done{};
        }
        if (wide) {
            if (const auto mistake = likelyOrderMistake(order())) return orderRefusal(*mistake);
        }
        return refusal(
            "tones-unknown",
            said("the file does not say which tones its patches are, and they are no unmistakable ramp"),
            translated(kGiveTones));
    }

    // --- whether it can be true ---

    std::vector<ToneAndLightness> order() const {
        std::vector<ToneAndLightness> order;
        for (const Member& member : members_) order.push_back({member.tonePercent, member.lab.L});
        return order;
    }

    Error orderRefusal(const OrderMistake& mistake) const {
        const std::size_t count = members_.size();
        if (mistake.kind == OrderMistake::Kind::reversed) {
            return refusal("strip-reversed",
                           said("patches {} to {} seem to be measured in the opposite direction",
                                mistake.firstFrom, mistake.firstTo),
                           said("The likely order is {}; measure that strip again, or put the patches in "
                                "that order",
                                mistake.likelyOrder(count)),
                           patchOf(members_[mistake.firstFrom - 1]).line);
        }
        return refusal("strips-swapped",
                       said("patches {} to {} and {} to {} seem to be exchanged", mistake.firstFrom,
                            mistake.firstTo, mistake.secondFrom, mistake.secondTo),
                       said("The likely order is {}; measure the two strips again, or put the patches in "
                            "that order",
                            mistake.likelyOrder(count)),
                       patchOf(members_[mistake.firstFrom - 1]).line);
    }

    Outcome checkOrder() {
        if (members_.size() < 2) return Done{};
        const auto patches = order();
        const Rise rise = largestRise(patches);
        if (rise.lightness <= kGrossRise && !runsUpwards(patches)) {
            if (rise.lightness > kToldRise) {
                ramp_.notes.push_back(
                    {"ramp-uneven", said("lightness rises by {:.1f} from tone {:.4g} % to "
                                         "tone {:.4g} %, where it should fall",
                                         rise.lightness, rise.fromTonePercent, rise.toTonePercent)});
            }
            return Done{};
        }
        if (runsUpwards(patches)) {
            const std::size_t count = members_.size();
            return refusal("ramp-upside-down",
                           said("lightness rises with tone: the ramp seems to be measured upside down"),
                           said("The likely order is {} down to 1; measure it again from the paper end, or "
                                "turn the list of tones round",
                                count),
                           patchOf(members_.front()).line);
        }
        if (const auto mistake = likelyOrderMistake(patches)) return orderRefusal(*mistake);
        const auto culprit = std::ranges::min_element(members_, {}, [&](const Member& member) {
            return std::abs(member.tonePercent - rise.toTonePercent);
        });
        return refusal("ramp-not-monotone",
                       said("lightness rises by {:.1f} from tone {:.4g} % to tone {:.4g} %, far more than a "
                            "print can",
                            rise.lightness, rise.fromTonePercent, rise.toTonePercent),
                       said("Measure these patches again, and check that the tones belong to this sheet"),
                       patchOf(*culprit).line);
    }

    /// Nearly all of the way from tone to tone goes up.
    static bool runsUpwards(std::vector<ToneAndLightness> patches) {
        std::ranges::stable_sort(patches, {}, &ToneAndLightness::tonePercent);
        double up = 0;
        double down = 0;
        for (std::size_t i = 1; i < patches.size(); ++i) {
            if (patches[i].tonePercent == patches[i - 1].tonePercent) continue;
            const double step = patches[i].lightness - patches[i - 1].lightness;
            (step > 0 ? up : down) += std::abs(step);
        }
        return up > 3 && up > 4 * down;
    }

    // --- one patch per tone ---

    Outcome mergeRepeats() {
        std::ranges::stable_sort(members_, {}, &Member::tonePercent);
        std::size_t repeated = 0;
        double worstSpread = 0;
        double worstTone = 0;
        for (std::size_t i = 0; i < members_.size();) {
            std::size_t end = i + 1;
            while (end < members_.size() &&
                   members_[end].tonePercent - members_[i].tonePercent <= kSameTonePercent) {
                ++end;
            }
            const std::span<const Member> group(members_.data() + i, end - i);
            ramp_.patches.push_back(meanOf(group));
            const auto [darkest, lightest] =
                std::ranges::minmax_element(group, {}, [](const Member& member) { return member.lab.L; });
            if (lightest->lab.L - darkest->lab.L > kGrossSpreadLightness) {
                return refusal("repeated-tone-disagrees",
                               said("tone {:.4g} % was measured {} times, from L* {:.1f} to L* {:.1f}",
                                    group.front().tonePercent, group.size(), darkest->lab.L, lightest->lab.L),
                               said("Check the tones and measure these patches again"),
                               patchOf(*darkest).line);
            }
            for (const Member& member : group) {
                const double spread = colour::deltaE2000(member.lab, ramp_.patches.back().lab);
                if (spread <= worstSpread) continue;
                worstSpread = spread;
                worstTone = member.tonePercent;
            }
            if (group.size() > 1) ++repeated;
            i = end;
        }
        if (repeated > 0) {
            std::string text = said("{} tones were measured more than once and averaged", repeated);
            if (worstSpread > kToldSpreadDeltaE) {
                text += said("; they differ by up to {:.1f} from their mean (tone {:.4g} %)", worstSpread,
                             worstTone);
            }
            ramp_.notes.push_back({"tones-averaged", std::move(text)});
        }
        return Done{};
    }

    RampPatch meanOf(std::span<const Member> group) const {
        const double share = 1 / static_cast<double>(group.size());
        RampPatch mean{.tonePercent = group.front().tonePercent};
        if (spectral_) mean.reflectance.assign(reading_.grid->count, 0.0);
        for (const Member& member : group) {
            mean.lab.L += share * member.lab.L;
            mean.lab.a += share * member.lab.a;
            mean.lab.b += share * member.lab.b;
            const auto& reflectance = patchOf(member).reflectance;
            for (std::size_t i = 0; i < mean.reflectance.size(); ++i) {
                mean.reflectance[i] += share * reflectance[i];
            }
        }
        if (spectral_) mean.lab = colorimeter_->labFromReflectance(mean.reflectance);
        return mean;
    }

    const Reading& reading_;
    const ToneOptions& options_;
    std::optional<colour::Colorimeter> colorimeter_;
    std::vector<Member> members_;
    Ramp ramp_;
    bool assigned_ = false;
    bool spectral_ = false;
};

}  // namespace

Result<Ramp> rampFromReading(const Reading& reading, const ToneOptions& options) {
    return ToneFinder(reading, options).find();
}

}  // namespace greywright::measure
