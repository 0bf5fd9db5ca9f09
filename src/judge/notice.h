#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "colour/aim.h"
#include "colour/appearance.h"
#include "colour/lab.h"
#include "colour/sheet_spectra.h"
#include "colour/viewer.h"
#include "core/result.h"
#include "judge/scene.h"

namespace greywright::judge {

/// What is taken for granted about noticing. Each figure says where it comes from; most are assumptions,
/// since nobody has measured how people notice the tint of one black-and-white print. Units: thresholds in
/// CAM16-UCS, distance in its chromatic plane.
struct NoticeAssumptions {
    /// What half the people of 30 years notice beside a neutral: CIEDE2000 0.8 (Paravina et al. 2015, from
    /// memory) at L* 50 in a lit room, the mean of red-green and yellow-blue.
    double thresholdBeside = 0.96;
    /// What half of them notice with the print alone on a wall. Assumption: 2.5 times that, so that the
    /// figures for pictures (means of 2.2 to 2.5, Stokes et al. 1992 from memory, Song and Luo 2001) come
    /// out.
    double thresholdAlone = 2.40;
    /// Standard deviation of the logarithm of the threshold from person to person: 22 to 28 % of the mean
    /// (Paramei 2012, JOSA A 29, A290, computed from the table).
    double betweenPeople = 0.25;
    /// The same within one person: how soft the step is from not noticing to noticing. Assumption.
    double withinPerson = 0.35;
    /// Share who say they see a tint where there is none. Assumption.
    double falseAlarms = 0.02;
    /// By how much a threshold grows while age doubles: 1.4 to 2 (Knoblauch et al. 2001, Vision Res. 41, 23);
    /// the lower end, for other studies find less in red-green.
    double perDoublingOfAge = 1.4;
    /// How far a viewer adapts to the paper's tint rather than to the light alone. Assumption.
    double adaptedToPaper = 0.5;
    /// Between two readings of one patch, in CIELAB units, where the ramp is too short to show it (common
    /// practice: 0.1 to 0.2).
    double readingNoise = 0.15;
};

/// How a print is looked at.
enum class Looking {
    besideNeutral,  ///< something neutral beside it
    alone,          ///< alone on a wall
};

/// The ramp as viewers are to see it.
/// Shape: one sheet row and one tone per patch.
struct NoticeSubject {
    colour::SheetSpectra sheet = {};        ///< empty without spectra; then `labs` is all there is
    std::vector<double> tonesPercent = {};  ///< ascending
    std::vector<colour::Lab> labs = {};     ///< D50, 2 degrees
    std::optional<std::size_t> paper = {};  ///< which patch is bare paper
    std::optional<std::size_t> black = {};  ///< which is the maximum black
    colour::TintAimKind aim = colour::TintAimKind::fade;
    colour::Toning toning = {};     ///< a tone on purpose, added to the aim
    double blackLWithout = 15;      ///< L* taken for the black where none was measured
    std::vector<bool> isLent = {};  ///< patches of another sheet set the aim and are not judged; empty = none
    std::vector<double> toneWeights = {};  ///< a picture's share of area per patch; empty = the worst counts
};

/// What is asked.
struct NoticeOptions {
    colour::Population population = {};
    std::vector<colour::Viewer> instead = {};  ///< these viewers in place of a population
    NoticeAssumptions assumptions = {};
    std::size_t threads = 0;       ///< 0 = as many as the machine has; the answer does not depend on it
    std::size_t keepSpread = 300;  ///< so many viewers' own tints are kept for a picture
    std::function<bool(double)> goOn = {};  ///< told the share done, 0..1; false stops the work
};

/// A share with its 90 % interval.
/// Units: 0..1.
struct Share {
    double value = 0;
    double low = 0;
    double high = 0;
};

/// Who notices, among a population.
struct WhoNotices {
    struct AgeBand {
        double fromYears = 0;
        double toYears = 0;
        double share = 0;
    };
    std::vector<AgeBand> ages = {};
    std::string trait = {};  ///< what of the eye goes with noticing most; empty where nothing does
    double correlation = 0;  ///< of that trait with noticing
    std::string words = {};  ///< for a person
};

/// What comes of one scene.
struct SceneNotice {
    std::string name = {};
    Share beside = {};
    Share alone = {};
    double givesAwayTonePercent = 0;        ///< the tone that those who notice see worst
    double meanDistance = 0;                ///< the mean viewer's, at that viewer's worst tone: CAM16-UCS
    std::vector<double> besideByTone = {};  ///< share who notice, one per patch; paper and what is paler: 0
    std::vector<colour::Tint> spread = {};  ///< each kept viewer's a*, b* from the aim at spreadTonePercent
    double spreadTonePercent = 0;           ///< the mean viewer's worst tone
    double spreadRadius = 0;                ///< holds 95 % of the viewers around the mean one: CIELAB units
    WhoNotices who = {};
};

/// What comes of all scenes.
struct Notice {
    std::vector<SceneNotice> scenes = {};
    std::vector<double> tonesPercent = {};  ///< of SceneNotice::besideByTone, lent patches included
    Share besideAnywhere = {};              ///< each viewer's largest chance over the scenes
    Share aloneAnywhere = {};
    std::size_t viewers = 0;
    double youngestYears = 0;
    double oldestYears = 0;
    double readingNoise = 0;  ///< of a patch, CIELAB units, as taken
    bool hasSpectra = true;   ///< without them all viewers have the standard observer's eyes
    NoticeAssumptions assumptions = {};
};

/// Who would notice the tint of a print, and where.
///
/// Model. Every viewer has cones of their own (colour/viewer.h) and adapts to the light: cone responses are
/// scaled so that the light's white gives what it gives the mean viewer. In the viewer's own CIELAB the aim
/// is laid from the viewer's own paper to black. Patch and aim are then seen by CIECAM16, fully adapted to a
/// white that is partly the paper, at the luminance of the scene; their distance in the chromatic plane of
/// CAM16-UCS, at the worst tone of 5 % and more (or the fourth-power mean over a picture's tones), is held
/// against the viewer's threshold: log-normal over people, growing with age; a normal psychometric function
/// of its logarithm. The interval of a share comes from the noise of the readings (every patch nearer or
/// farther by 1.645 of it) and from the number of viewers. Fails to describe: colour-deficient viewers; rods
/// in dim light; habit and taste. Source: CIE 248:2022; Asano et al. (2016); docs/methods/viewers.md. Errors:
/// stopped (goOn said so). Cost: 1,000 viewers x 8 scenes x 51 patches: about 0.2 s on one thread. Memory:
/// flat in viewers and scenes but for a few numbers each.
[[nodiscard]] Result<Notice> notice(const NoticeSubject& subject, std::span<const Scene> scenes,
                                    const NoticeOptions& options = {});

/// The chance that somebody of a keenness and an age says that there is a tint.
/// Units: distance in CAM16-UCS; 0..1.
[[nodiscard]] double chanceOfNotice(double distance, double keenness, double ageYears, Looking looking,
                                    const NoticeAssumptions& assumptions);

}  // namespace greywright::judge
