#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "colour/aim.h"
#include "steer/control.h"
#include "steer/knowledge.h"

namespace greywright::steer {

/// What is asked of a search.
struct Options {
    colour::TintAimKind aim = colour::TintAimKind::fade;
    double toleranceDeltaE00 = 0.3;  ///< how near to the best attainable is near enough
    double plainDeltaE00 = 2.0;      ///< a worst tone above this is a plain tint: then no setting will do
    std::size_t worlds = 224;        ///< possible printers drawn to weigh a decision
    std::uint64_t seed = 20;
};

/// How a search stands.
enum class Status {
    print,       ///< print this setting next
    settled,     ///< a printed setting is at, or as near as prints can tell to, the best attainable
    outOfReach,  ///< no setting of this control will do
};

/// What a setting is expected to give. Units: CIEDE2000 to the aim at equal L*; D50, 2 degrees, or the worst
/// of the history's lights, each times its weight over the largest weight.
struct Prediction {
    Setting setting;
    double worstDeltaE00 = 0;      ///< expected, at the worst measured tone of 5 % and more
    double worstDeltaE00Low = 0;   ///< 5th percentile
    double worstDeltaE00High = 0;  ///< 95th percentile
    double worstTonePercent = 0;
    std::string worstLight = {};  ///< the light of the worst tone; empty for a history without lights
};

/// What one of the history's lights shows. Units: CIEDE2000 to the aim at equal L*, without the light's
/// weight.
struct LightPrediction {
    std::string name;
    double worstDeltaE00 = 0;  ///< expected at Summary::predicted
    double worstTonePercent = 0;
    double bestAloneDeltaE00 = 0;  ///< expected at bestAlone
    Setting bestAlone = {};        ///< the best setting if there were no other light
};

/// What one unit of one axis does at the mid tone (50 %): the median of what is believed, and as standard
/// error half of what the middle 68 % of it cover. Units: CIELAB, D50, per unit of the driver.
struct AxisAction {
    std::string axis;
    double a = 0;
    double b = 0;
    double L = 0;
    double standardErrorA = 0;
    double standardErrorB = 0;
    double standardErrorL = 0;
    std::string words;  ///< e.g. "across: +1 moves mid-tones 0.31 towards red"
};

/// Why no setting will do.
enum class Limit {
    none,
    range,   ///< the control is too weak
    turns,   ///< what mends one tone spoils another
    lights,  ///< what mends the tint under one light spoils it under another
};

/// Expected tint along the ramp at a setting. Units: CIELAB, D50 whatever the lights.
struct TonePrediction {
    double tonePercent = 0;
    double a = 0, b = 0;  ///< expected
    double aimA = 0, aimB = 0;
    double lowA = 0, highA = 0;  ///< 5th and 95th percentile
    double lowB = 0, highB = 0;
};

/// The outcome of a search so far.
struct Summary {
    Status status = Status::print;
    Prediction predicted;       ///< at the setting to print, or the final one
    Prediction bestAttainable;  ///< the best that the control can do, as believed now
    std::vector<AxisAction> control;
    std::vector<TonePrediction> ramp;  ///< at predicted.setting
    Limit limit = Limit::none;
    int confirmedBy = 0;  ///< number of the trial that confirms a settled setting
    std::size_t trials = 0;
    double chanceNearBest = 0;     ///< that predicted.setting is within the tolerance of the best attainable
    double printNoise = 0;         ///< of a print as a whole, CIELAB units
    double patchNoise = 0;         ///< of a patch, CIELAB units
    double beliefInKnowledge = 0;  ///< that the driver acts here as on earlier papers; 0 without any
    bool paperMeasured = false;
    std::string reason;  ///< one or two sentences for a person

    std::vector<LightPrediction> lights = {};  ///< in the order of History::lights
    /// At the jointly best setting the worst tint is visible, and clearly more than any light would show
    /// alone.
    bool lightsDisagree = false;
    std::string disagreement = {};  ///< one or two sentences for a person, naming the lights; empty without

    /// More sheets read in the same way would not tell whether the tint that is left is plain: the status is
    /// `print`, predicted.setting the best that is known, and the reason says what would tell.
    bool cannotTell = false;

    /// A prediction exists: at least one trial was read.
    [[nodiscard]] bool isUsable() const { return trials > 0; }
};

/// Learns from the trials and says what to print next, or that the search is over.
/// Valid: settings inside the range; trials with at least one tone each, none at all is allowed; lights as
/// History says. `knowledge` of the same driver, or null.
/// Readings that share an error steer as well as others, but to where they read neutral: predictions hold
/// what that may be off, and nothing is settled or out of reach that might be plain or might not. Cost: about
/// 50 ms for six trials of 51 tones and two axes; under three lights five times as long, with a shared error
/// twice.
[[nodiscard]] Summary steer(const History& history, const DriverKnowledge* knowledge = nullptr,
                            const Options& options = {});

/// What papers taught about their driver, the latest last. Valid: as DriverKnowledge.
[[nodiscard]] DriverKnowledge learn(std::vector<History> papers, const Options& options = {});

/// Expected worst tint on a grid of settings, for the map. Units: CIEDE2000. Shape: rows of the second axis
/// (one row for a single axis), columns of the first; a third axis is held.
struct SettingMap {
    std::vector<double> across;       ///< values of the first axis
    std::vector<double> up;           ///< values of the second axis; empty for a single axis
    std::vector<double> worst;        ///< row by row
    std::vector<Setting> likelyBest;  ///< the best setting of each possible printer drawn: its uncertainty
};

/// What one setting is expected to give.
struct Foretold {
    Prediction worst = {};
    std::vector<TonePrediction> ramp = {};
};

/// What the trials have taught, learned once, to be asked about one setting after another. Thread: any;
/// asking changes nothing.
class Outlook {
  public:
    /// Valid: as steer(), and at least one trial. Cost: as steer().
    explicit Outlook(History history, std::optional<DriverKnowledge> knowledge = std::nullopt,
                     const Options& options = {});
    ~Outlook();

    /// As steer() gives it.
    [[nodiscard]] const Summary& summary() const;

    /// What is expected at the accepted setting that is nearest to `setting`; at Summary::predicted the same
    /// as is said there. Cost: a few milliseconds for 51 tones and two axes.
    [[nodiscard]] Foretold at(const Setting& setting) const;

    /// At most `most` points each way; a third axis is held at `held`. Valid: most of two or more.
    [[nodiscard]] SettingMap map(const Setting& held, std::size_t most) const;

  private:
    struct Learned;
    std::unique_ptr<const Learned> learned_;
};

}  // namespace greywright::steer
