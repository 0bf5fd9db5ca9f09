#include "measure.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QFile>
#include <QLabel>
#include <QPushButton>
#include <QRegularExpression>
#include <QTableView>
#include <QTemporaryDir>
#include <QTimer>
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "book/book.h"
#include "canvas/plot_view.h"
#include "condition_page.h"
#include "core/random.h"
#include "form_dialog.h"
#include "jobs.h"
#include "judge/scene.h"
#include "main_window.h"
#include "map_section.h"
#include "measure/ramp.h"
#include "picture/apply.h"
#include "simulate/printer.h"
#include "steady_words.h"
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

void tell(const char* what, double value, const char* unit, std::optional<double> goal = {}) {
    std::printf("%-70s %8.1f %s", what, value, unit);
    if (goal) std::printf(" (to reach: %g)", *goal);
    std::printf("\n");
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
    tones.reserve(kTones);
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

/// Whether widgets were painted since this was made.
class Painted : public QObject {
  public:
    explicit Painted(std::initializer_list<QWidget*> parts) : waiting_(parts.begin(), parts.end()) {
        for (QWidget* part : waiting_) part->installEventFilter(this);
    }
    [[nodiscard]] bool all() const { return waiting_.empty(); }
    bool eventFilter(QObject* part, QEvent* event) override {
        if (event->type() == QEvent::Paint) std::erase(waiting_, part);
        return false;
    }

  private:
    std::vector<QWidget*> waiting_;
};

double millisecondsOf(const QElapsedTimer& timer) {
    return static_cast<double>(timer.nsecsElapsed()) / 1e6;
}

/// Begins something and lets the window work until something is so: the longest that a timer of one
/// millisecond had to wait for its turn meanwhile, the beginning included. Units: ms.
std::optional<double> longestWait(const std::function<void()>& begin, const std::function<bool()>& isSo) {
    QElapsedTimer sinceBeat;
    double longest = 0;
    QTimer beat;
    beat.setTimerType(Qt::PreciseTimer);
    QObject::connect(&beat, &QTimer::timeout, &beat, [&] {
        longest = std::max(longest, millisecondsOf(sinceBeat));
        sinceBeat.restart();
    });
    sinceBeat.start();
    beat.start(1);
    begin();
    if (!waitFor(isSo)) return std::nullopt;
    return std::max(longest, millisecondsOf(sinceBeat));
}

/// A window in books of its own. Every part of the measurement says what went wrong; empty when nothing did.
class Measurement {
  public:
    explicit Measurement(std::chrono::steady_clock::time_point started) : started_(started) {}

    QString firstWindow() {
        for (const std::string& scene : judge::sceneNames()) window_.preferences().lights << text(scene);
        window_.resize(kUsual);
        window_.show();
        window_.repaint();
        QApplication::processEvents();
        const std::chrono::duration<double, std::milli> taken = std::chrono::steady_clock::now() - started_;
        tell("first window", taken.count(), "ms", 1000);
        return {};
    }

    QString books() {
        const QString small = folder_.filePath(QStringLiteral("small.greywright"));
        const QString large = folder_.filePath(QStringLiteral("large.greywright"));
        for (const auto& [path, conditions, trials] : {std::tuple{small, 1, 30}, {large, 20, 250}}) {
            if (const Outcome filled = fill(path, conditions, trials); !filled) return textOf(filled.error());
        }
        QElapsedTimer timer;
        timer.start();
        window_.openBook(large);
        if (!waitFor([&] { return !window_.workspace().conditions().empty(); }))
            return QStringLiteral("the large book did not open");
        window_.repaint();
        tell("a book of 5,000 trials is open, its conditions listed", millisecondsOf(timer), "ms", 1000);
        if (!waitFor([&] { return rests(); })) return QStringLiteral("work did not end");
        window_.openBook(small);
        // From the moment the page is asked for until its verdict and plots are painted.
        const auto isShown = [&] { return window_.workspace().path() == small && window_.page() != nullptr; };
        if (!waitFor(isShown)) return QStringLiteral("no page");
        timer.restart();
        if (!waitFor([&] { return window_.page()->data().judgement() != nullptr; }))
            return QStringLiteral("no verdict");
        window_.repaint();
        tell("page of a condition with 30 trials x 51 spectral patches", millisecondsOf(timer), "ms", 150);
        return waitFor([&] { return rests(); }) ? QString() : QStringLiteral("work did not end");
    }

    QString cross() {
        auto* map = part<canvas::PlotView>("map");
        auto* tint = part<canvas::PlotView>("foretoldTint");
        auto* lights = part<QTableView>("foretoldLights");
        auto* share = part<SteadyWords>("foretoldShare");
        auto* section = window_.page()->findChild<MapSection*>();
        if (map == nullptr || tint == nullptr || lights == nullptr || share == nullptr || section == nullptr)
            return QStringLiteral("the map is not there");
        window_.resize(1440, 2600);  // all that moves in sight
        QApplication::processEvents();
        window_.page()->ensureWidgetVisible(map);
        QApplication::processEvents();
        QElapsedTimer timer;
        std::vector<double> moves;
        for (int i = 0; i < 200; ++i) {
            Painted painted({map, tint, lights->viewport()});
            timer.start();
            section->moveCross(i % 50 - 25, i * 7 % 40 - 20);  // never the same twice
            if (!waitFor([&] { return painted.all(); })) return QStringLiteral("the plots were not drawn");
            moves.push_back(millisecondsOf(timer));
            QApplication::processEvents();
        }
        tell("moving the cross until all plots are drawn, median", percentile(moves, 0.5), "ms", 16);
        tell("moving the cross until all plots are drawn, 95th percentile", percentile(moves, 0.95), "ms",
             16);
        if (!waitFor([&] { return rests(); })) return QStringLiteral("work did not end");
        std::vector<double> shares;
        for (int i = 0; i < 40; ++i) {
            timer.start();
            section->moveCross(i - 20, 20 - i);
            if (!waitFor([&] { return share->text().contains(QLatin1Char('%')); }))
                return QStringLiteral("nobody was asked");
            shares.push_back(millisecondsOf(timer));
            if (!waitFor([&] { return rests(); })) return QStringLiteral("work did not end");
        }
        tell("who would notice follows (1,000 viewers, 8 lights), median", percentile(shares, 0.5), "ms",
             100);
        tell("who would notice follows, 95th percentile", percentile(shares, 0.95), "ms", 100);
        if (const auto held = residentMegabytes()) tell("memory", *held, "MB", 300);
        window_.resize(kUsual);
        return {};
    }

    /// The window while a hundred thousand are asked, and while it is told to stop.
    QString viewers() {
        window_.preferences().viewers.count = 100'000;
        const QString wrong =
            longWork("100,000 viewers are asked", [this] { window_.page()->data().recompute(); });
        window_.preferences().viewers.count = 1000;
        window_.page()->data().recompute();
        return wrong.isEmpty() && !waitFor([this] { return rests(); }) ? QStringLiteral("work did not end")
                                                                       : wrong;
    }

    QString picture() {
        const studio::Studio studio = window_.workspace().studio();
        const std::string name = text(window_.page()->name());
        if (const auto curve = studio.makeCurve(name, {.force = true, .when = kWhen}); !curve)
            return textOf(curve.error());
        const auto profile = picture::profileOf(picture::Encoding::greyGamma22);
        if (!profile) return textOf(profile.error());
        constexpr std::size_t kWidth = 20'000, kHeight = 15'000;
        const std::string file = text(folder_.filePath(QStringLiteral("large.tif")));
        const Outcome made = picture::writePixels(
            file, {.width = kWidth, .height = kHeight, .profile = *profile},
            [](std::size_t row, std::span<std::uint16_t> samples) {
                for (std::size_t i = 0; i < samples.size(); ++i)
                    samples[i] = static_cast<std::uint16_t>(8000 + i + row + i * row % 127);
            });
        if (!made) return textOf(made.error());
        int times = 0;
        return longWork("a picture of 300 million pixels is prepared", [&, this] {
            const QString out = folder_.filePath(QString::number(++times));
            window_.jobs().preparePictures(window_.page()->name(), {text(file)});
            FormDialog* dialog = nullptr;
            if (!waitFor([&] { return (dialog = window_.findChild<FormDialog*>()) != nullptr; })) return;
            dialog->findChild<PathEdit*>(QStringLiteral("out"))->setPath(out);
            dialog->answerButton()->click();
        });
    }

  private:
    static constexpr QSize kUsual{1440, 940};

    template <typename Part>
    Part* part(const char* name) {
        return window_.page()->findChild<Part*>(QString::fromLatin1(name));
    }

    [[nodiscard]] bool rests() {
        return window_.tasks().isIdle() && (window_.page() == nullptr || window_.page()->data().isSettled());
    }

    /// Does it once to its end and once until it is stopped.
    QString longWork(const char* what, const std::function<void()>& begin) {
        QElapsedTimer timer;
        timer.start();
        const auto away = longestWait(begin, [this] { return rests(); });
        if (!away) return QStringLiteral("it did not end");
        const QString name = QString::fromLatin1(what);
        tell(qUtf8Printable(name), millisecondsOf(timer), "ms");
        tell(qUtf8Printable(name + QStringLiteral(": the event loop was away for at most")), *away, "ms", 50);
        begin();
        timer.start();
        constexpr int kUnderWayMs = 300;
        if (!waitFor([&] { return timer.elapsed() > kUnderWayMs || rests(); }) || rests())
            return QStringLiteral("it ended before it could be stopped");
        timer.start();
        window_.tasks().stopAll();
        if (!waitFor([this] { return rests(); })) return QStringLiteral("it did not stop");
        tell(qUtf8Printable(name + QStringLiteral(": stopped after")), millisecondsOf(timer), "ms");
        return {};
    }

    std::chrono::steady_clock::time_point started_;
    QTemporaryDir folder_;
    MainWindow window_;
};

}  // namespace

int measure(std::chrono::steady_clock::time_point started) {
    Measurement measurement(started);
    for (QString (Measurement::*part)() :
         {&Measurement::firstWindow, &Measurement::books, &Measurement::cross, &Measurement::viewers,
          &Measurement::picture}) {
        if (const QString wrong = (measurement.*part)(); !wrong.isEmpty()) {
            std::fprintf(stderr, "greywright-desktop: %s\n", qUtf8Printable(wrong));
            return 1;
        }
    }
    return 0;
}

}  // namespace greywright::desktop
