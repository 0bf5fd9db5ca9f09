#include "screenshots.h"

#include <QApplication>
#include <QDir>
#include <QFileInfo>
#include <QLabel>
#include <QPainter>
#include <QTemporaryDir>
#include <QTextDocument>
#include <QToolButton>
#include <cstdio>
#include <functional>
#include <memory>
#include <utility>

#include "application.h"
#include "bars.h"
#include "canvas/plot_view.h"
#include "condition_page.h"
#include "form_dialog.h"
#include "guide_window.h"
#include "jobs.h"
#include "main_window.h"
#include "marked_picture.h"
#include "next_section.h"
#include "photo_dialog.h"
#include "read_dialog.h"
#include "section.h"
#include "studio/json.h"
#include "text.h"
#include "theme.h"
#include "wait.h"

namespace greywright::desktop {
namespace {

constexpr const char* kWhen = "2031-04-05T06:07:08Z";

/// Makes the conditions of the invented studio stand in every way that there is: "chalk" stays neutral,
/// "wren" drifts, for "fen" no setting will do, "wren colour" is unfinished, and a new one is empty.
Outcome standEveryWay(const studio::Studio& studio) {
    const auto keep = [&](const char* condition, steer::Status status, bool isLatest) -> Outcome {
        auto search = studio.steer(condition, {});
        if (!search) return std::move(search).error();
        search->summary.status = status;
        const auto trials = studio.trials(condition);
        if (!trials) return trials.error();
        const int trial = trials->back().number - (isLatest ? 0 : 1);
        const auto note = studio.keepVerdict(
            condition,
            {.trial = trial, .kind = "steer", .json = studio::jsonFromSearch(*search), .when = kWhen});
        if (note) return Error{.code = note->code, .what = note->text};
        return Done{};
    };
    if (auto kept = keep("wren", steer::Status::settled, false); !kept) return kept;
    if (auto kept = keep("wren", steer::Status::print, true); !kept) return kept;
    if (auto kept = keep("fen", steer::Status::outOfReach, true); !kept) return kept;
    if (auto added = studio.addCondition({.name = "pearl",
                                          .printer = "Heron",
                                          .inks = "pigment",
                                          .paper = "Pearl Rag",
                                          .mode = "grey",
                                          .axes = {{"across", -50, 50, 1}, {"up", -50, 50, 1}},
                                          .when = kWhen});
        !added)
        return added.error();
    return Done{};
}

/// The page for the printer room as it will be printed, on A4.
std::unique_ptr<QLabel> noteOf(const ConditionPage& page) {
    constexpr QSize kA4(794, 1123);  // 96 dots per inch
    auto out = std::make_unique<QLabel>();
    QPixmap paper(kA4);
    paper.fill(Qt::white);
    QPainter painter(&paper);
    QTextDocument document;
    document.setHtml(page.findChild<NextSection*>()->noteHtml());
    document.setPageSize(kA4);
    document.setDocumentMargin(76);
    document.drawContents(&painter);
    painter.end();
    out->setPixmap(paper);
    out->resize(kA4);
    return out;
}

/// A card beside a print on a wooden table, as a camera might see them.
QString photographIn(const QString& folder) {
    QImage picture(1200, 800, QImage::Format_RGB32);
    picture.fill(QColor(88, 70, 56));
    QPainter painter(&picture);
    painter.fillRect(80, 200, 200, 400, QColor(178, 174, 166));
    painter.fillRect(380, 100, 720, 600, QColor(232, 228, 220));
    painter.fillRect(440, 160, 600, 480, QColor(156, 138, 133));
    painter.setPen(Qt::NoPen);
    painter.setBrush(QColor(62, 58, 56));
    painter.drawPolygon(
        QPolygon({{440, 640}, {440, 560}, {600, 500}, {760, 590}, {900, 530}, {1040, 600}, {1040, 640}}));
    QString path = QDir(folder).filePath(QStringLiteral("wall.png"));
    picture.save(path);
    return path;
}

}  // namespace

int drawScreenshots(const QString& folder) {
    const QTemporaryDir studio;
    bool isWell = QDir().mkpath(folder) && studio.isValid();
    const auto draw = [&](QWidget* what, const QString& name) {
        for (int turn = 0; turn < 3; ++turn)
            QApplication::processEvents();  // what is laid out anew asks again
        const QString path = QDir(folder).filePath(name + QStringLiteral(".png"));
        const bool isDrawn = what->grab().save(path);
        std::printf("%s\n", path.toUtf8().constData());
        isWell = isWell && isDrawn;
    };
    MainWindow window;
    window.setShade(Shade::light);
    window.resize(1280, 800);
    window.show();
    draw(&window, QStringLiteral("start"));
    window.startBook(QDir(studio.path()).filePath(QStringLiteral("prints.greywright")));
    isWell = waitFor([&] { return window.workspace().isOpen() && window.tasks().isIdle(); }) && isWell;
    draw(&window, QStringLiteral("new-book"));
    window.jobs().newCondition();
    if (auto* dialog = window.findChild<FormDialog*>()) {
        draw(dialog, QStringLiteral("new-condition"));
        delete dialog;
    }
    const QString invented = QDir(studio.path()).filePath(QStringLiteral("invented"));
    window.openInvented(invented);
    const auto rests = [&] {
        return window.page() != nullptr && window.tasks().isIdle() && window.page()->data().isSettled() &&
               window.page()->data().notice() != nullptr;
    };
    if (!waitFor(rests)) return 1;
    draw(&window, QStringLiteral("condition"));
    int number = 0;
    for (Section* section : window.page()->findChildren<Section*>()) {
        if (section->isVisible()) draw(section, QStringLiteral("section-%1").arg(++number));
    }
    draw(noteOf(*window.page()).get(), QStringLiteral("note"));
    for (const QString& page : {QStringLiteral("README"), QStringLiteral("words")}) {
        GuideWindow guide(Application::guideFolder() + QStringLiteral("/%1.md").arg(page), nullptr);
        guide.show();
        draw(&guide, QStringLiteral("guide-") + page.toLower());
    }
    Jobs& jobs = window.jobs();
    const QString name = window.page()->name();
    const std::pair<const char*, std::function<void()>> questions[] = {
        {"test-sheet", [&] { jobs.makeSheet(name, window.page()->nextSetting()); }},
        {"take-out", [&] { jobs.withdrawTrial(name, 1); }},
        {"curve", [&] { jobs.makeCurve(name); }},
        {"table", [&] { jobs.makeTable(name); }},
        {"profile", [&] { jobs.makeProfile(name); }},
        {"pictures", [&] { jobs.preparePictures(name); }},
        {"looking", [&] { jobs.askHowToLook(); }},
        {"reading-out", [&] { jobs.exportReading(name, 1, QStringLiteral("ramp.txt")); }},
        {"put-right", [&] { jobs.correctCondition(name); }},
        {"own-light", [&] { jobs.addLight(); }},
        {"own-scene", [&] { jobs.addScene(); }},
        {"own-glazing", [&] { jobs.addGlazing(); }},
        {"own-viewer", [&] { jobs.addViewer(); }},
        {"own-scanner", [&] { jobs.learnDevice(name); }},
        {"own-things", [&] {
             const studio::Studio own = window.workspace().studio();
             isWell =
                 own.addScene({.name = "stairs", .light = "LED-B1", .lux = 120, .when = kWhen}) && isWell;
             isWell = own.addViewer({.name = "Aunt", .ageYears = 71, .when = kWhen}) && isWell;
             jobs.showOwn();
         }}};
    for (const auto& [picture, ask] : questions) {
        ask();
        if (!waitFor([&] { return window.findChild<FormDialog*>() != nullptr && window.tasks().isIdle(); }))
            return 1;
        auto* dialog = window.findChild<FormDialog*>();
        // No folder of whoever draws the pictures.
        for (PathEdit* path : dialog->findChildren<PathEdit*>())
            path->setPath(QFileInfo(path->path()).fileName());
        draw(dialog, QString::fromLatin1(picture));
        if (auto* more = dialog->findChild<QToolButton*>(QStringLiteral("more"))) {
            more->click();
            draw(dialog, QString::fromLatin1(picture) + QStringLiteral("-more"));
        }
        delete dialog;
    }
    jobs.lookAtPhotograph(photographIn(studio.path()));
    if (auto* dialog = window.findChild<PhotoDialog*>()) {
        dialog->marks().setMark(0, {0.09, 0.3, 0.12, 0.4});
        dialog->marks().setMark(1, {0.55, 0.3, 0.2, 0.3});
        isWell = waitFor([&] { return dialog->words().contains(QStringLiteral("a*")); }) && isWell;
        draw(dialog, QStringLiteral("photograph"));
        delete dialog;
    }
    const auto compare = [&](int trial) {
        window.page()->data().showOther(name, trial);
        isWell = waitFor(rests) && isWell;
    };
    compare(1);
    draw(window.page()->findChild<canvas::PlotView*>(QStringLiteral("tint")), QStringLiteral("compared"));
    compare(0);
    for (const QFileInfo& file : QDir(invented).entryInfoList({QStringLiteral("*1.txt")}, QDir::Files)) {
        window.readFiles({file.absoluteFilePath()});
        isWell = waitFor([&] { return window.tasks().isIdle(); }) && isWell;
        draw(window.reading(), QStringLiteral("reading"));
        delete window.reading();
        break;
    }
    window.setShade(Shade::dark);
    if (!waitFor(rests)) return 1;
    draw(&window, QStringLiteral("condition-dark"));
    number = 0;
    for (Section* section : window.page()->findChildren<Section*>()) {
        if (section->isVisible()) draw(section, QStringLiteral("section-%1-dark").arg(++number));
    }
    window.setShade(Shade::light);
    for (const auto& [width, height] : {std::pair{1024, 768}, {1920, 1200}}) {
        window.resize(width, height);
        draw(&window, QStringLiteral("condition-%1x%2").arg(width).arg(height));
    }
    window.resize(1280, 800);
    if (const Outcome kept = standEveryWay(window.workspace().studio()); !kept) {
        std::fprintf(stderr, "%s\n", qUtf8Printable(textOf(kept.error())));
        return 1;
    }
    window.workspace().refresh();
    isWell = waitFor([&] { return window.workspace().conditions().size() == 5 && rests(); }) && isWell;
    draw(&window, QStringLiteral("states"));
    window.messages().tell(QCoreApplication::translate("screenshots", "The book cannot be read"),
                           {.code = "book-locked",
                            .what = "another program is working in the book and did not finish in time",
                            .where = {.path = "prints.greywright"},
                            .next = "Close the other program or try again"});
    draw(&window, QStringLiteral("trouble"));
    return isWell ? 0 : 1;
}

}  // namespace greywright::desktop
