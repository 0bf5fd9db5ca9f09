#include "judge/notice.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>
#include <utility>

#include <fmt/format.h>

#include "colour/colorimeter.h"
#include "colour/difference.h"
#include "core/contract.h"
#include "core/parallel.h"
#include "core/said.h"
#include "core/statistics.h"
#include "judge/thresholds.h"

namespace greywright::judge {
namespace {

using colour::Lab;
using colour::Tint;
using colour::Viewer;
using colour::Xyz;

constexpr std::size_t kNodes = colour::kConeNodes.count;
constexpr std::size_t kBlock = 16;  // viewers at a time: few enough to be stopped within milliseconds
constexpr double kNinetyPercent = 1.6448536269514722;
constexpr double kKeenAgeYears = 30;  // the age that thresholds are told for

// What a viewer's eye is made of, as far as it differs.
constexpr std::array<const char*, 9> kTraitNames{"age",
                                                 "lens density",
                                                 "macular density",
                                                 "density of the L pigment",
                                                 "density of the M pigment",
                                                 "density of the S pigment",
                                                 "peak of the L pigment",
                                                 "peak of the M pigment",
                                                 "peak of the S pigment"};
constexpr std::array<std::array<const char*, 2>, 9> kTraitWords{{
    {toSay("the younger"), toSay("the older")},
    {toSay("those with a clear lens"), toSay("those with a yellow lens")},
    {toSay("those with little macular pigment"), toSay("those with much macular pigment")},
    {toSay("those with little of the long-wave pigment"), toSay("those with much of the long-wave pigment")},
    {toSay("those with little of the middle-wave pigment"),
     toSay("those with much of the middle-wave pigment")},
    {toSay("those with little of the short-wave pigment"),
     toSay("those with much of the short-wave pigment")},
    {toSay("those whose long-wave cones peak at shorter wavelengths"),
     toSay("those whose long-wave cones peak at longer wavelengths")},
    {toSay("those whose middle-wave cones peak at shorter wavelengths"),
     toSay("those whose middle-wave cones peak at longer wavelengths")},
    {toSay("those whose short-wave cones peak at shorter wavelengths"),
     toSay("those whose short-wave cones peak at longer wavelengths")},
}};

// A link weaker than this is not worth a word.
constexpr double kLeastCorrelation = 0.15;

constexpr std::array<double, 4> kAgeBands{20, 40, 60, 80.001};

std::array<double, 9> traitsOf(const Viewer& viewer) {
    const colour::ViewerTraits& t = viewer.traits;
    return {t.ageYears,
            t.lensDeviation,
            t.macularDeviation,
            t.pigmentDeviation[0],
            t.pigmentDeviation[1],
            t.pigmentDeviation[2],
            colour::peakShiftNm(t, 0),
            colour::peakShiftNm(t, 1),
            colour::peakShiftNm(t, 2)};
}

// Sums over viewers of what a share needs.
struct ShareSums {
    double value = 0, square = 0, low = 0, high = 0;

    void add(double chance, double chanceLow, double chanceHigh) {
        value += chance;
        square += chance * chance;
        low += chanceLow;
        high += chanceHigh;
    }
    void add(const ShareSums& other) {
        value += other.value;
        square += other.square;
        low += other.low;
        high += other.high;
    }
    [[nodiscard]] Share share(std::size_t viewers) const {
        const auto n = static_cast<double>(viewers);
        const double mean = value / n;
        // Evenly spread viewers do better than random ones; that gain is not claimed.
        // A handful of viewers says little even when they agree.
        const double variance = std::max(square / n - mean * mean, 0.25 / (n + 1));
        const double few = kNinetyPercent * std::sqrt(variance / n);
        const double below = std::hypot(mean - low / n, few), above = std::hypot(high / n - mean, few);
        return {.value = mean, .low = std::max(0.0, mean - below), .high = std::min(1.0, mean + above)};
    }
};

struct SceneSums {
    ShareSums beside, alone;
    std::vector<double> besideByTone, votes;  // per patch
    double chance = 0, chanceSquare = 0;      // beside, for correlations
    std::array<double, 9> trait{}, traitSquare{}, traitChance{};
    std::array<double, 3> bandChance{}, bandCount{};
    std::vector<Tint> spread;

    explicit SceneSums(std::size_t patches) : besideByTone(patches), votes(patches) {}

    void add(const SceneSums& other) {
        beside.add(other.beside);
        alone.add(other.alone);
        for (std::size_t i = 0; i < votes.size(); ++i) {
            besideByTone[i] += other.besideByTone[i];
            votes[i] += other.votes[i];
        }
        chance += other.chance;
        chanceSquare += other.chanceSquare;
        for (std::size_t k = 0; k < trait.size(); ++k) {
            trait[k] += other.trait[k];
            traitSquare[k] += other.traitSquare[k];
            traitChance[k] += other.traitChance[k];
        }
        for (std::size_t k = 0; k < bandCount.size(); ++k) {
            bandChance[k] += other.bandChance[k];
            bandCount[k] += other.bandCount[k];
        }
        spread.insert(spread.end(), other.spread.begin(), other.spread.end());
    }
};

struct Sums {
    std::vector<SceneSums> scenes;
    ShareSums besideAnywhere, aloneAnywhere;

    Sums(std::size_t sceneCount, std::size_t patches) : scenes(sceneCount, SceneSums(patches)) {}

    void add(const Sums& other) {
        for (std::size_t i = 0; i < scenes.size(); ++i) scenes[i].add(other.scenes[i]);
        besideAnywhere.add(other.besideAnywhere);
        aloneAnywhere.add(other.aloneAnywhere);
    }
};

// The logarithm of what half of the looks of one person notice.
double logThreshold(double keenness, double ageYears, Looking looking, const NoticeAssumptions& assumptions) {
    const double usual =
        looking == Looking::besideNeutral ? assumptions.thresholdBeside : assumptions.thresholdAlone;
    return std::log(usual) - keenness * assumptions.betweenPeople +
           std::log2(ageYears / kKeenAgeYears) * std::log(assumptions.perDoublingOfAge);
}

double chanceAbove(double logOfThreshold, double distance, const NoticeAssumptions& assumptions) {
    if (distance <= 0) return assumptions.falseAlarms;
    const double seen = normalBelow((std::log(distance) - logOfThreshold) / assumptions.withinPerson);
    return assumptions.falseAlarms + (1 - assumptions.falseAlarms) * seen;
}

// What one viewer sees of a ramp in one scene.
struct Sight {
    std::vector<double> distance;  // per patch, CAM16-UCS, 0 for what is not judged
    std::vector<Tint> tint;        // per patch, from the aim, in the viewer's own CIELAB
};

// A scene for the mean viewer: what holds for all viewers in it.
struct Place {
    std::array<double, 3> whiteCones{};  // the mean viewer's
    Xyz white;                           // Y = 100
    double luminanceCdM2 = 0;
    std::size_t worst = 0;  // the mean viewer's worst patch
    double meanDistance = 0;
    Tint meanTint;
    std::vector<double> doubt;    // per patch: 90 % of the readings' noise, in CAM16-UCS
    std::vector<double> onNodes;  // the light and the patches under it, for many viewers' cones
};

// The scatter of neighbours around a smooth ramp tells the noise of a patch.
double readingNoise(const NoticeSubject& subject, double otherwise) {
    std::vector<double> squares;
    const auto& labs = subject.labs;
    for (std::size_t i = 1; i + 1 < labs.size(); ++i) {
        const double before = subject.tonesPercent[i] - subject.tonesPercent[i - 1];
        const double after = subject.tonesPercent[i + 1] - subject.tonesPercent[i];
        if (before <= 0 || after <= 0 || before + after > kWidestGapPercent) continue;
        const double w = after / (before + after);
        const double da = labs[i].a - w * labs[i - 1].a - (1 - w) * labs[i + 1].a;
        const double db = labs[i].b - w * labs[i - 1].b - (1 - w) * labs[i + 1].b;
        const double share = 1 + w * w + (1 - w) * (1 - w);
        squares.push_back((da * da + db * db) / (2 * share));
    }
    if (squares.size() < 5) return otherwise;
    // The median, so that a bend of the ramp is not taken for noise; of a chi-squared variable with two
    // degrees of freedom it is ln 2 of the mean.
    std::ranges::nth_element(squares, squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 2));
    return std::clamp(std::sqrt(squares[squares.size() / 2] / std::log(2.0)), 0.03, 1.0);
}

class Onlookers {
  public:
    Onlookers(const NoticeSubject& subject, std::span<const Scene> scenes, const NoticeOptions& options)
        : subject_(subject), scenes_(scenes), options_(options), patches_(subject.tonesPercent.size()) {
        out_.assumptions = options.assumptions;
        out_.tonesPercent = subject.tonesPercent;
        out_.hasSpectra = !subject.sheet.reflectance.empty();
        out_.viewers = options.instead.empty() ? options.population.count : options.instead.size();
        out_.readingNoise = readingNoise(subject, options.assumptions.readingNoise);
        out_.youngestYears = options.population.youngestYears;
        out_.oldestYears = options.population.oldestYears;
        field_ = options.instead.empty() ? options.population.fieldDegrees
                                         : options.instead.front().traits.fieldDegrees;
        expects(out_.viewers > 0 && patches_ > 0 && subject.labs.size() == patches_,
                "notice: viewers, and patches with CIELAB");
        expects(!out_.hasSpectra || subject.sheet.reflectance.size() == patches_,
                "notice: a spectrum for each patch");
        for (const Scene& scene : scenes_) places_.push_back(placeOf(scene));
    }

    Result<Notice> look() {
        Sums total(scenes_.size(), patches_);
        const std::size_t blocks = (out_.viewers + kBlock - 1) / kBlock;
        std::map<std::size_t, Sums> waiting;  // blocks are added up in their order, whatever the threads do
        std::size_t next = 0;
        std::mutex guard;
        const auto work = [&](std::size_t block) {
            Sums sums = sumsOf(block);
            const std::scoped_lock lock(guard);
            waiting.emplace(block, std::move(sums));
            for (auto at = waiting.find(next); at != waiting.end(); at = waiting.find(++next)) {
                total.add(at->second);
                waiting.erase(at);
            }
        };
        std::function<bool(std::size_t)> goOn;
        if (options_.goOn) {
            goOn = [&](std::size_t done) {
                return options_.goOn(static_cast<double>(done) / static_cast<double>(blocks));
            };
        }
        if (!inParallel(blocks, options_.threads, work, goOn)) {
            return Error{.code = "stopped",
                         .what = said("the work was stopped before all viewers had looked"),
                         .where = {},
                         .next = {}};
        }
        out_.besideAnywhere = total.besideAnywhere.share(out_.viewers);
        out_.aloneAnywhere = total.aloneAnywhere.share(out_.viewers);
        for (std::size_t i = 0; i < scenes_.size(); ++i)
            out_.scenes.push_back(sceneOutcome(i, total.scenes[i]));
        return std::move(out_);
    }

  private:
    [[nodiscard]] bool isJudged(std::size_t patch) const {
        return subject_.tonesPercent[patch] >= kPalestJudgedTonePercent &&
               (subject_.isLent.empty() || !subject_.isLent[patch]);
    }

    // Tristimulus values of the patches for a viewer who is adapted to the light. `responses` are the cones'.
    void xyzOf(const Place& place, const double* responses, std::vector<Xyz>& out) const {
        const std::size_t columns = 1 + patches_;
        std::array<double, 3> scale{};
        for (std::size_t cone = 0; cone < 3; ++cone)
            scale[cone] = place.whiteCones[cone] / responses[cone * columns];
        for (std::size_t patch = 0; patch < patches_; ++patch) {
            out[patch] = colour::xyzFromCones(
                {scale[0] * responses[1 + patch], scale[1] * responses[columns + 1 + patch],
                 scale[2] * responses[2 * columns + 1 + patch]},
                field_);
        }
    }

    void look(const Place& place, const std::vector<Xyz>& seen, Sight& sight) const {
        const auto labOf = [&](std::size_t patch) { return colour::labFromXyz(seen[patch], place.white); };
        colour::TintAim aim{
            .kind = subject_.aim, .paper = {}, .blackL = subject_.blackLWithout, .toning = subject_.toning};
        Xyz adopted = place.white;
        if (subject_.paper) {
            aim.paper = labOf(*subject_.paper);
            const Xyz& paper = seen[*subject_.paper];
            const double share = options_.assumptions.adaptedToPaper, scale = place.white.Y / paper.Y;
            adopted = {(1 - share) * place.white.X + share * scale * paper.X, place.white.Y,
                       (1 - share) * place.white.Z + share * scale * paper.Z};
        } else {
            aim.kind = colour::TintAimKind::light;
        }
        if (subject_.black) aim.blackL = labOf(*subject_.black).L;
        const colour::Ciecam16 model(
            {.white = adopted, .adaptingLuminanceCdM2 = place.luminanceCdM2, .fullyAdapted = true});
        for (std::size_t patch = 0; patch < patches_; ++patch) {
            sight.distance[patch] = 0;
            if (!isJudged(patch)) continue;
            const Lab lab = labOf(patch);
            const Tint wanted = aim.at(lab.L);
            sight.tint[patch] = {lab.a - wanted.a, lab.b - wanted.b};
            sight.distance[patch] =
                distanceOf(model, seen[patch], colour::xyzFromLab({lab.L, wanted.a, wanted.b}, place.white));
        }
    }

    static double distanceOf(const colour::Ciecam16& model, const Xyz& patch, const Xyz& aim) {
        const colour::CamUcs one = model.ucsFromXyz(patch), other = model.ucsFromXyz(aim);
        return std::hypot(one.a - other.a, one.b - other.b);
    }

    Place placeOf(const Scene& scene) const {
        Place place{.luminanceCdM2 = colour::adaptingLuminanceFromLux(scene.lux)};
        std::vector<Xyz> seen(patches_);
        if (out_.hasSpectra) {
            const colour::ConeFundamentals cones = colour::coneFundamentals({.fieldDegrees = field_});
            const std::vector<double> stimuli =
                colour::stimuliUnder(subject_.sheet, scene.light, scene.glazing);
            std::vector<double> responses(3 * (1 + patches_));
            colour::integrate(cones, stimuli, responses);
            // Scaled so that the white has Y = 100.
            const std::size_t columns = 1 + patches_;
            const std::array<double, 3> white{responses[0], responses[columns], responses[2 * columns]};
            const double scale = 100 / colour::xyzFromCones(white, field_).Y;
            place.whiteCones = {scale * white[0], scale * white[1], scale * white[2]};
            place.white = colour::xyzFromCones(place.whiteCones, field_);
            xyzOf(place, responses.data(), seen);
            place.onNodes = colour::onConeNodes(stimuli);
        } else {
            place.white = colour::whiteOf(scene.light, colour::observer(colour::ObserverName::cie1931));
            for (std::size_t i = 0; i < patches_; ++i)
                seen[i] = colour::xyzFromLab(subject_.labs[i], place.white);
        }
        Sight sight{std::vector<double>(patches_), std::vector<Tint>(patches_)};
        look(place, seen, sight);
        const auto worst = std::ranges::max_element(sight.distance);
        place.worst = static_cast<std::size_t>(worst - sight.distance.begin());
        place.meanDistance = *worst;
        place.meanTint = sight.tint[place.worst];
        place.doubt = doubtOf(place, seen);
        return place;
    }

    // The readings' noise as a distance, patch by patch.
    std::vector<double> doubtOf(const Place& place, const std::vector<Xyz>& seen) const {
        const colour::Ciecam16 model(
            {.white = place.white, .adaptingLuminanceCdM2 = place.luminanceCdM2, .fullyAdapted = true});
        constexpr double kStep = 0.25;
        std::vector<double> doubt(patches_);
        for (std::size_t patch = 0; patch < patches_; ++patch) {
            const Lab lab = colour::labFromXyz(seen[patch], place.white);
            const auto moved = [&](double a, double b) {
                return distanceOf(model, seen[patch],
                                  colour::xyzFromLab({lab.L, lab.a + a, lab.b + b}, place.white));
            };
            doubt[patch] =
                kNinetyPercent * out_.readingNoise * (moved(kStep, 0) + moved(0, kStep)) / (2 * kStep);
        }
        return doubt;
    }

    [[nodiscard]] std::vector<Viewer> viewersOf(std::size_t block) const {
        const std::size_t first = block * kBlock;
        const std::size_t count = std::min(kBlock, out_.viewers - first);
        if (options_.instead.empty()) return colour::viewersOf(options_.population, first, count);
        const auto begin = options_.instead.begin() + static_cast<std::ptrdiff_t>(first);
        return {begin, begin + static_cast<std::ptrdiff_t>(count)};
    }

    [[nodiscard]] Sums sumsOf(std::size_t block) const {
        Sums sums(scenes_.size(), patches_);
        const std::vector<Viewer> viewers = viewersOf(block);
        const std::size_t columns = 1 + patches_;
        std::vector<double> cones, responses;
        if (out_.hasSpectra) {
            cones.reserve(viewers.size() * 3 * kNodes);
            for (const Viewer& viewer : viewers) {
                const auto own = colour::conesAtNodes(viewer.traits);
                cones.insert(cones.end(), own.begin(), own.end());
            }
            responses.resize(viewers.size() * 3 * columns);
        }
        struct Most {
            double logThreshold = 0;
            double value = 0, low = 0, high = 0;
        };
        std::vector<Most> beside, alone;
        for (const Viewer& viewer : viewers) {
            const auto threshold = [&](Looking looking) {
                return Most{
                    logThreshold(viewer.keenness, viewer.traits.ageYears, looking, options_.assumptions)};
            };
            beside.push_back(threshold(Looking::besideNeutral));
            alone.push_back(threshold(Looking::alone));
        }
        const auto chance = [this](const Most& person, double distance) {
            return chanceAbove(person.logThreshold, distance, options_.assumptions);
        };
        Sight sight{std::vector<double>(patches_), std::vector<Tint>(patches_)};
        std::vector<Xyz> seen(patches_);
        for (std::size_t s = 0; s < scenes_.size(); ++s) {
            const Place& place = places_[s];
            SceneSums& scene = sums.scenes[s];
            if (out_.hasSpectra) colour::integrate(cones, place.onNodes, responses, kNodes);
            for (std::size_t v = 0; v < viewers.size(); ++v) {
                if (out_.hasSpectra) {
                    xyzOf(place, responses.data() + v * 3 * columns, seen);
                    look(place, seen, sight);
                } else if (v == 0) {
                    for (std::size_t i = 0; i < patches_; ++i)
                        seen[i] = colour::xyzFromLab(subject_.labs[i], place.white);
                    look(place, seen, sight);
                }
                if (block * kBlock + v < options_.keepSpread) scene.spread.push_back(sight.tint[place.worst]);
                const auto far = pooled(sight.distance, place.doubt, 0),
                           low = pooled(sight.distance, place.doubt, -1),
                           high = pooled(sight.distance, place.doubt, 1);
                const auto chances = [&](Most& most, ShareSums& share) {
                    const double value = chance(most, far.distance);
                    const double atLeast = chance(most, low.distance), atMost = chance(most, high.distance);
                    share.add(value, atLeast, atMost);
                    most.value = std::max(most.value, value);
                    most.low = std::max(most.low, atLeast);
                    most.high = std::max(most.high, atMost);
                    return value;
                };
                const double noticed = chances(beside[v], scene.beside);
                (void)chances(alone[v], scene.alone);
                addPerson(scene, viewers[v], noticed, far.patch);
                for (std::size_t i = 0; i < patches_; ++i) {
                    if (isJudged(i)) scene.besideByTone[i] += chance(beside[v], sight.distance[i]);
                }
            }
        }
        for (std::size_t v = 0; v < viewers.size(); ++v) {
            sums.besideAnywhere.add(beside[v].value, beside[v].low, beside[v].high);
            sums.aloneAnywhere.add(alone[v].value, alone[v].low, alone[v].high);
        }
        return sums;
    }

    static void addPerson(SceneSums& scene, const Viewer& viewer, double noticed, std::size_t patch) {
        scene.votes[patch] += noticed;
        scene.chance += noticed;
        scene.chanceSquare += noticed * noticed;
        const std::array<double, 9> traits = traitsOf(viewer);
        for (std::size_t k = 0; k < traits.size(); ++k) {
            scene.trait[k] += traits[k];
            scene.traitSquare[k] += traits[k] * traits[k];
            scene.traitChance[k] += traits[k] * noticed;
        }
        for (std::size_t k = 0; k + 1 < kAgeBands.size(); ++k) {
            if (traits[0] < kAgeBands[k] || traits[0] >= kAgeBands[k + 1]) continue;
            scene.bandChance[k] += noticed;
            scene.bandCount[k] += 1;
        }
    }

    struct Pooled {
        double distance = 0;
        std::size_t patch = 0;
    };

    // Over tones: the worst, or the fourth-power mean over a picture's own. `towards`: -1, 0 or 1 times the
    // readings' doubt.
    [[nodiscard]] Pooled pooled(const std::vector<double>& distance, const std::vector<double>& doubt,
                                double towards) const {
        Pooled out;
        double sum = 0, weights = 0, most = -1;
        for (std::size_t i = 0; i < patches_; ++i) {
            if (!isJudged(i)) continue;
            const double d = std::max(0.0, distance[i] + towards * doubt[i]);
            const double weight = subject_.toneWeights.empty() ? 1 : subject_.toneWeights[i];
            const double counts = subject_.toneWeights.empty() ? d : weight * d * d * d * d;
            sum += weight * d * d * d * d;
            weights += weight;
            if (counts > most) {
                most = counts;
                out.patch = i;
            }
        }
        out.distance = subject_.toneWeights.empty() ? std::max(0.0, most)
                       : weights > 0                ? std::pow(sum / weights, 0.25)
                                                    : 0;
        return out;
    }

    [[nodiscard]] SceneNotice sceneOutcome(std::size_t index, const SceneSums& sums) const {
        const Place& place = places_[index];
        const auto viewers = static_cast<double>(out_.viewers);
        SceneNotice out{.name = scenes_[index].name,
                        .beside = sums.beside.share(out_.viewers),
                        .alone = sums.alone.share(out_.viewers),
                        .meanDistance = place.meanDistance,
                        .besideByTone = sums.besideByTone,
                        .spread = sums.spread,
                        .spreadTonePercent = subject_.tonesPercent[place.worst]};
        const auto worst = std::ranges::max_element(sums.votes);
        out.givesAwayTonePercent =
            subject_.tonesPercent[static_cast<std::size_t>(worst - sums.votes.begin())];
        for (double& share : out.besideByTone) share /= viewers;
        if (!out.spread.empty()) {
            std::vector<double> radius;
            for (const Tint& tint : out.spread) {
                radius.push_back(std::hypot(tint.a - place.meanTint.a, tint.b - place.meanTint.b));
            }
            const auto place95 = radius.begin() + std::lround(0.95 * static_cast<double>(radius.size() - 1));
            std::ranges::nth_element(radius, place95);
            out.spreadRadius = *place95;
        }
        out.who = whoNotices(sums, viewers);
        return out;
    }

    static WhoNotices whoNotices(const SceneSums& sums, double viewers) {
        WhoNotices who;
        for (std::size_t k = 0; k + 1 < kAgeBands.size(); ++k) {
            if (sums.bandCount[k] == 0) continue;
            who.ages.push_back({.fromYears = kAgeBands[k],
                                .toYears = std::floor(kAgeBands[k + 1]),
                                .share = sums.bandChance[k] / sums.bandCount[k]});
        }
        const double spread = sums.chanceSquare / viewers - std::pow(sums.chance / viewers, 2);
        std::size_t strongest = 0;
        for (std::size_t k = 0; k < kTraitNames.size(); ++k) {
            const double mean = sums.trait[k] / viewers;
            const double variance = sums.traitSquare[k] / viewers - mean * mean;
            if (variance <= 1e-12 || spread <= 1e-9) continue;
            const double correlation =
                (sums.traitChance[k] / viewers - mean * sums.chance / viewers) / std::sqrt(variance * spread);
            if (std::abs(correlation) <= std::abs(who.correlation)) continue;
            who.correlation = correlation;
            strongest = k;
        }
        if (std::abs(who.correlation) < kLeastCorrelation) {
            who.correlation = 0;
            who.words = said("nobody in particular");
            return who;
        }
        who.trait = kTraitNames[strongest];
        who.words = said("most of all {}", translated(kTraitWords[strongest][who.correlation > 0 ? 1 : 0]));
        return who;
    }

    const NoticeSubject& subject_;
    std::span<const Scene> scenes_;
    const NoticeOptions& options_;
    std::size_t patches_;
    double field_ = 2;
    std::vector<Place> places_;
    Notice out_;
};

}  // namespace

double chanceOfNotice(double distance, double keenness, double ageYears, Looking looking,
                      const NoticeAssumptions& assumptions) {
    return chanceAbove(logThreshold(keenness, ageYears, looking, assumptions), distance, assumptions);
}

Result<Notice> notice(const NoticeSubject& subject, std::span<const Scene> scenes,
                      const NoticeOptions& options) {
    return Onlookers(subject, scenes, options).look();
}

}  // namespace greywright::judge
