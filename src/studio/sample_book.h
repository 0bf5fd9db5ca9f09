#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "core/files.h"
#include "measure/write.h"
#include "simulate/printer.h"
#include "studio/studio.h"
#include "testing/near.h"
#include "testing/temporary_folder.h"

/// For tests only.
namespace greywright::studio::sample {

inline constexpr const char* kWhen = "2031-04-05T06:07:08Z";

/// Tones 0, 5 .. 100 percent, as fractions.
inline std::vector<double> fullRamp() {
    std::vector<double> tones;
    for (int i = 0; i <= 20; ++i) tones.push_back(i / 20.0);
    return tones;
}

/// A book with the condition "chalk" and the invented printer that its sheets come from. The order of its
/// axes is not that of the alphabet.
class SampleBook {
  public:
    explicit SampleBook(std::vector<book::AxisRecord> axes = {{"up", -50, 50, 1}, {"across", -50, 50, 1}})
        : axes_(std::move(axes)) {
        EXPECT_TRUE(testing::succeeded(studio.addCondition({.name = "chalk",
                                                            .printer = "Heron",
                                                            .inks = "pigment",
                                                            .paper = "Chalk Rag",
                                                            .mode = "grey",
                                                            .axes = axes_,
                                                            .when = kWhen})));
    }

    [[nodiscard]] measure::Reading print(const std::vector<double>& setting = {0, 0},
                                         const std::vector<double>& tones = fullRamp()) {
        std::vector<double> deflection;
        for (const double value : setting) deflection.push_back(value / 50);
        return printer_->print(tones, deflection, random_);
    }

    /// Writes a reading as CGATS text into a new file.
    [[nodiscard]] std::filesystem::path write(const measure::Reading& reading) {
        const auto file = folder_ / ("sheet-" + std::to_string(++files_) + ".txt");
        EXPECT_TRUE(testing::succeeded(writeWholeFile(file, measure::cgatsFromReading(reading))));
        return file;
    }

    [[nodiscard]] ReadRequest request(const std::filesystem::path& file,
                                      const std::vector<double>& setting = {0, 0}) const {
        ReadRequest out{.file = file, .condition = "chalk", .when = kWhen};
        for (std::size_t i = 0; i < axes_.size(); ++i) out.setting.push_back({axes_[i].name, setting[i]});
        return out;
    }

    /// Prints, measures and takes in; hands back the number of the trial.
    int take(const std::vector<double>& setting = {0, 0}, const std::vector<double>& tones = fullRamp()) {
        const auto read = studio.read(request(write(print(setting, tones)), setting));
        EXPECT_TRUE(testing::succeeded(read));
        return read ? read->trial : 0;
    }

    [[nodiscard]] std::string bytes() const { return readWholeFile(studio.path()).value(); }
    [[nodiscard]] std::size_t trials() const { return studio.trials("chalk").value().size(); }

  private:
    testing::TemporaryFolder folder_;
    std::vector<book::AxisRecord> axes_;
    std::unique_ptr<simulate::Printer> printer_ = simulate::printerFromRecipe({.seed = 4});
    Random random_{7};
    int files_ = 0;

  public:
    const Studio studio{folder_ / "studio.book"};
};

}  // namespace greywright::studio::sample
