#include "measure.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QFile>
#include <QLabel>
#include <QRegularExpression>
#include <QTableView>
#include <QTemporaryDir>
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "book/book.h"
#include "canvas/plot_view.h"
#include "condition_page.h"
#include "core/random.h"
#include "main_window.h"
#include "map_section.h"
#include "measure/ramp.h"
#include "simulate/printer.h"
#include "studio/convert.h"
#include "text.h"
#include "wait.h"

namespace greywright::desktop {
namespace {

constexpr const char* kWhen = "2031-04-05T06:07:08Z";
constexpr int kTones = 51;

double percentile(std::vector<double> values, double share) {
    std::ranges::sort(values);
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

void tell(const char* what, double value, const char* unit, double goal) {
    std::printf("%-66s %8.1f %s (to reach: %g)\n", what, value, unit, goal);
    std::fflush(stdout);
}

/// Megabytes that the process holds; nothing where the system does not say.
std::optional<double> residentMegabytes() {
    QFile status(QStringLiteral("/proc/self/status"));
    if (!status.open(QIODevice::ReadOnly)) return std::nullopt;
    const auto found =
        QRegularExpression(QStringLiteral("VmRSS:\\s+(\\d+)")).match(QString::fromUtf8(status.readAll()));
    if (!found.hasMatch()) return std::nullopt;
    return found.captured(1).toDouble() / 1024;
}

/// Enters conditions with trials straight into a book.
Outcome fill(const QString& path, int conditions, int trials) {
    auto book = book::Book::open(text(path), book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    const auto printer = simulate::printerFromRecipe({.seed = 4});
    Random random(3);
    std::vector<double> tones;
    for (int i = 0; i < kTones; ++i) tones.push_back(i / (kTones - 1.0));
    for (int c = 0; c < conditions; ++c) {
        const std::string name = "chalk " + std::to_string(c);
        auto added = book->addCondition({.name = name,
                                         .printer = "Heron",
                                         .inks = "pigment " + std::to_string(c),
                                         .paper = "Chalk Rag",
                                         .mode = "grey",
                                         .axes = {{"across", -50, 50, 1}, {"up", -50, 50, 1}},
                                         .when = kWhen});
        if (!added) return added;
        for (int t = 0; t < trials; ++t) {
            const double across = t % 2 == 0 ? (t * 7) % 40 - 20 : (t * 11) % 30 - 15, up = (t * 5) % 30 - 15;
            const measure::Reading reading =
                printer->print(tones, std::vector<double>{across / 50, up / 50}, random);
            measure::Ramp ramp{.grid = reading.grid, .condition = measure::Condition::m1};
            for (std::size_t i = 0; i < reading.patches.size(); ++i)
                ramp.patches.push_back(
                    {100 * tones[i], *reading.patches[i].lab, reading.patches[i].reflectance});
            const book::NewReading read{.reading = studio::recordFromRamp(ramp, reading, "sheet.txt", kWhen),
                                        .originalFile = std::to_string(c) + " " + std::to_string(t)};
            const auto number = book->addTrial(
                name, {.setting = {{"across", across}, {"up", up}}, .when = kWhen, .reading = read});
            if (!number) return number.error();
        }
    }
    return Done{};
}

}  // namespace

int measure(std::chrono::steady_clock::time_point started) {
    using std::chrono::duration;
    MainWindow window;
    window.resize(1440, 940);
    window.show();
    window.repaint();
    QApplication::processEvents();
    tell("first window", duration<double, std::milli>(std::chrono::steady_clock::now() - started).count(),
         "ms", 1000);

    const QTemporaryDir folder;
    const auto fail = [](const QString& what) {
        std::fprintf(stderr, "greywright-desktop: %s\n", what.toUtf8().constData());
        return 1;
    };
    const QString small = folder.filePath(QStringLiteral("small.greywright"));
    const QString large = folder.filePath(QStringLiteral("large.greywright"));
    for (const auto& [path, conditions, trials] : {std::tuple{small, 1, 30}, {large, 20, 250}}) {
        if (const Outcome filled = fill(path, conditions, trials); !filled)
            return fail(textOf(filled.error()));
    }

    QElapsedTimer timer;
    timer.start();
    window.openBook(large);
    if (!waitFor([&] { return !window.workspace().conditions().empty(); }))
        return fail(QStringLiteral("the large book did not open"));
    window.repaint();
    tell("a book of 5,000 trials is open, its conditions listed",
         static_cast<double>(timer.nsecsElapsed()) / 1e6, "ms", 1000);
    if (!waitFor([&] { return window.tasks().isIdle(); })) return fail(QStringLiteral("work did not end"));

    window.openBook(small);
    timer.restart();
    // From the moment the page is asked for until its verdict and plots are painted.
    if (!waitFor([&] { return window.page() != nullptr; })) return fail(QStringLiteral("no page"));
    timer.restart();
    if (!waitFor([&] { return window.page()->data().judgement() != nullptr; }))
        return fail(QStringLiteral("no verdict"));
    window.repaint();
    tell("page of a condition with 30 trials x 51 spectral patches",
         static_cast<double>(timer.nsecsElapsed()) / 1e6, "ms", 150);
    if (!waitFor([&] { return window.tasks().isIdle() && window.page()->data().isSettled(); }))
        return fail(QStringLiteral("work did not end"));

    auto* map = window.page()->findChild<canvas::PlotView*>(QStringLiteral("map"));
    auto* tint = window.page()->findChild<canvas::PlotView*>(QStringLiteral("foretoldTint"));
    auto* lights = window.page()->findChild<QTableView*>(QStringLiteral("foretoldLights"));
    auto* share = window.page()->findChild<QLabel*>(QStringLiteral("foretoldShare"));
    auto* section = window.page()->findChild<MapSection*>();
    if (map == nullptr || tint == nullptr || lights == nullptr || share == nullptr || section == nullptr)
        return fail(QStringLiteral("the map is not there"));
    window.page()->ensureWidgetVisible(map);
    QApplication::processEvents();
    std::vector<double> moves;
    for (int i = 0; i < 200; ++i) {
        timer.restart();
        section->moveCross(20 * std::sin(0.1 * i), 15 * std::cos(0.17 * i));
        for (QWidget* part : std::initializer_list<QWidget*>{map, tint, lights->viewport()}) part->repaint();
        moves.push_back(static_cast<double>(timer.nsecsElapsed()) / 1e6);
        QApplication::processEvents();
    }
    tell("moving the cross redraws everything, median", percentile(moves, 0.5), "ms", 16);
    tell("moving the cross redraws everything, 95th percentile", percentile(moves, 0.95), "ms", 16);
    if (!waitFor([&] { return window.tasks().isIdle(); })) return fail(QStringLiteral("work did not end"));
    std::vector<double> shares;
    for (int i = 0; i < 10; ++i) {
        timer.restart();
        section->moveCross(i - 5, 5 - i);
        if (!waitFor([&] { return share->text().contains(QLatin1Char('%')); }))
            return fail(QStringLiteral("nobody was asked"));
        shares.push_back(static_cast<double>(timer.nsecsElapsed()) / 1e6);
        if (!waitFor([&] { return window.tasks().isIdle(); }))
            return fail(QStringLiteral("work did not end"));
    }
    tell("who would notice follows (1,000 viewers, 6 lights), median", percentile(shares, 0.5), "ms", 100);
    if (const auto held = residentMegabytes()) tell("memory", *held, "MB", 300);
    return 0;
}

}  // namespace greywright::desktop
