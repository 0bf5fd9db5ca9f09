#pragma once

#include <functional>
#include <memory>
#include <optional>

#include "judge/judge.h"
#include "steer/steer.h"
#include "studio/studio.h"

namespace greywright::studio {

/// A search with the map of its settings, to be asked about one setting after another. Thread: any; asking
/// changes nothing.
struct Foresight {
    Search search = {};
    std::optional<steer::SettingMap> map = {};  ///< absent while nothing was measured
    std::optional<measure::Ramp> sheet = {};    ///< what foretold sheets are made from; as map
    int sheetTrial = 0;                         ///< the trial that it is
    judge::Options seen = {};                   ///< under which lights, and by whom, they are looked at

    /// The sheet that a setting is expected to give, as if it was read: `sheet`, each tone moved to the
    /// colour that the search expects of it, its lightness kept; with spectra each by colour::recoloured().
    /// Fails to describe: metamerism that comes with the move. Valid: a map; a setting in the order of the
    /// axes.
    [[nodiscard]] measure::Ramp sheetAt(const steer::Setting& setting) const;
    /// The same from Search::outlook's answer for a setting.
    [[nodiscard]] measure::Ramp sheetFor(const steer::Foretold& expected) const;

    /// How the foretold sheet is judged; viewers are asked where `seen` has any and `withViewers` is true,
    /// about at most 27 of its tones. Errors: those of judge::judge(); stopped. Valid: a map. Cost: a
    /// few milliseconds; 1,000 viewers in 8 scenes: about 0.1 s on two threads.
    [[nodiscard]] Result<judge::Verdict> verdictOn(const steer::Foretold& expected, bool withViewers,
                                                   std::function<bool(double)> goOn = {}) const;
};

/// What one setting is expected to give.
struct Foretelling {
    book::Setting setting = {};
    steer::Foretold expected = {};
    judge::Verdict verdict = {};  ///< on the foretold sheet
    int sheetTrial = 0;           ///< whose sheet was moved
};

}  // namespace greywright::studio
