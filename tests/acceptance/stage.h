#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "measure/reading.h"
#include "program.h"
#include "simulate/printer.h"
#include "steer/control.h"
#include "testing/temporary_folder.h"

namespace greywright::acceptance {

enum class Format { cgats, csv, tsv, cxf };

/// What a measurement program would have written. `withSpectra` false: CIELAB alone.
[[nodiscard]] std::string sheetText(const measure::Reading& reading, Format format, bool withSpectra = true);

/// "across=-8,up=0".
[[nodiscard]] std::string settingText(const Json& setting);
[[nodiscard]] std::string settingText(const std::vector<steer::TintAxis>& axes,
                                      const steer::Setting& setting);

/// Tones 0, 5 .. 100 percent, as fractions.
[[nodiscard]] std::vector<double> fullRamp();

/// A simulated printer with a driver that has named axes.
class Driver {
  public:
    Driver(const simulate::Recipe& recipe, std::vector<steer::TintAxis> axes);

    [[nodiscard]] measure::Reading print(const steer::Setting& setting,
                                         const std::vector<double>& tones = fullRamp());
    /// The same, at a setting as the program answers it.
    [[nodiscard]] measure::Reading printAsAsked(const Json& setting,
                                                const std::vector<double>& tones = fullRamp());

    /// The noise-free worst tint at a setting against the paper's tint fading into neutral (ISO
    /// 12647-2:2013), recomputed here from the published formula. Units: CIEDE2000, tones of 5 % and more.
    [[nodiscard]] double worst(const steer::Setting& setting) const;
    /// The least of them over the driver's settings. Cost: every setting of one or two axes on a grid of
    /// `stride` steps, then single steps from the best.
    [[nodiscard]] double leastWorst(long stride = 4) const;

    [[nodiscard]] const std::vector<steer::TintAxis>& axes() const { return axes_; }
    [[nodiscard]] steer::Setting settingFrom(const Json& setting) const;

  private:
    std::unique_ptr<simulate::Printer> printer_;
    std::vector<steer::TintAxis> axes_;
    steer::SettingGrid grid_;
    Random random_;
};

/// "across" and "up", -50..50 by 1; the first `count` of across, up, deep.
[[nodiscard]] std::vector<steer::TintAxis> usualAxes(std::size_t count = 2);

/// A printer with a plain tint of its own that its control can answer.
[[nodiscard]] simulate::Recipe usualRecipe(std::uint64_t paper = 0);

/// A folder with a book in it, and the program pointed at that book.
class Studio {
  public:
    Studio();

    /// The program's answer; --book is put in front, and --json unless the words say otherwise.
    [[nodiscard]] Answer ask(Words words) const;
    [[nodiscard]] Answer inWords(Words words) const;

    /// Enters a condition and expects that it is taken.
    void enter(const std::string& condition, const std::vector<steer::TintAxis>& axes = usualAxes(),
               const std::string& paper = "Chalk Rag", const std::string& mode = "grey") const;

    /// Writes a file into the folder and hands back its path.
    [[nodiscard]] std::string write(const std::string& name, const std::string& bytes) const;
    /// A file name that has not been given before.
    [[nodiscard]] std::string freshName(const std::string& ending);

    /// Reads a sheet printed at a setting into a condition.
    [[nodiscard]] Answer read(const measure::Reading& reading, const std::string& condition,
                              const std::string& setting, Format format = Format::cgats,
                              const Words& more = {});

    [[nodiscard]] const std::filesystem::path& book() const { return book_; }
    [[nodiscard]] std::string bookBytes() const;
    [[nodiscard]] std::filesystem::path path(const std::string& name) const { return folder_ / name; }
    [[nodiscard]] const std::filesystem::path& folder() const { return folder_.path(); }

  private:
    testing::TemporaryFolder folder_;
    std::filesystem::path book_;
    int files_ = 0;
};

/// How a search played by the rules of the program ended.
struct Ending {
    Json steer;  ///< the last answer
    int sheets = 0;
    std::vector<std::pair<std::string, std::string>> read;  ///< file and setting of every sheet
};

/// Asks `steer`, prints what it says, reads the sheet in, until it says something else than "print" or
/// `most` sheets were printed.
[[nodiscard]] Ending playToTheEnd(Studio& studio, Driver& driver, const std::string& condition, int most = 14,
                                  const std::vector<double>& tones = fullRamp(), bool withSpectra = true);

}  // namespace greywright::acceptance
