// The studio's own: lights, scenes, glazings and people, and the scanners and cameras that it learned.
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QItemSelectionModel>
#include <QLabel>
#include <QLineEdit>
#include <QPointer>
#include <QPushButton>
#include <QTableWidget>
#include <set>

#include "answer.h"
#include "core/platform.h"
#include "fields.h"
#include "models.h"
#include "photo_dialog.h"
#include "section.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using Kind = PathEdit::Kind;
using Items = std::vector<std::pair<QString, QVariant>>;

Items itemsOf(const std::vector<std::string>& names) {
    Items out;
    for (const std::string& name : names) out.emplace_back(text(name), text(name));
    return out;
}

QString spectra() {
    return Jobs::tr("Spectra (*.csv *.tsv *.txt *.spdx *.xml);;Any file (*)");
}

/// Lights and their shares of the illuminance, a part a row.
class Mixture {
  public:
    Mixture(FormDialog& dialog, const studio::Catalogue& catalogue) {
        constexpr int kMostParts = 3;
        for (int i = 0; i < kMostParts; ++i) {
            auto* row = new QWidget(&dialog);
            auto* line = new QHBoxLayout(row);
            line->setContentsMargins(0, 0, 0, 0);
            auto* light = new QComboBox(row);
            light->addItem(Jobs::tr("none"), QString());
            for (const auto& [words, value] : itemsOf(catalogue.lightNames())) light->addItem(words, value);
            light->setAccessibleName(Jobs::tr("Part %1").arg(i + 1));
            light->setObjectName(QStringLiteral("part-%1").arg(i + 1));
            auto* share = new QDoubleSpinBox(row);
            share->setRange(1, 100);
            share->setValue(50);
            share->setDecimals(0);
            share->setSuffix(Jobs::tr(" %"));
            share->setAccessibleName(Jobs::tr("Share of part %1").arg(i + 1));
            share->setObjectName(QStringLiteral("share-%1").arg(i + 1));
            line->addWidget(light, 1);
            line->addWidget(share);
            row->setFocusProxy(light);
            dialog.field(Jobs::tr("Part %1").arg(i + 1), row, "part");
            lights_.push_back(light);
            shares_.push_back(share);
        }
    }

    [[nodiscard]] std::vector<book::LightShareRecord> parts() const {
        std::vector<book::LightShareRecord> out;
        for (std::size_t i = 0; i < lights_.size(); ++i) {
            if (const QString name = lights_[i]->currentData().toString(); !name.isEmpty())
                out.push_back({.light = text(name), .share = shares_[i]->value()});
        }
        return out;
    }

  private:
    std::vector<QComboBox*> lights_;
    std::vector<QDoubleSpinBox*> shares_;
};

/// One of the studio's own, and how it is taken out of the book.
struct Own {
    QString kind = {};
    QString name = {};
    QString facts = {};
    std::function<Outcome(const studio::Studio&)> remove = {};
};

std::vector<Own> ownOf(const studio::Catalogue& catalogue, const std::vector<book::DeviceRecord>& devices) {
    std::vector<Own> out;
    const auto add = [&out](const QString& kind, const std::string& name, const QString& facts,
                            Outcome (studio::Studio::*remove)(const std::string&) const) {
        out.push_back({kind, text(name), facts,
                       [name, remove](const studio::Studio& studio) { return (studio.*remove)(name); }});
    };
    for (const book::LightRecord& one : catalogue.ownLights()) {
        QStringList parts;
        double whole = 0;
        for (const book::LightShareRecord& part : one.parts) whole += part.share;
        for (const book::LightShareRecord& part : one.parts)
            parts << Jobs::tr("%1 (%2 %)").arg(text(part.light), number(100 * part.share / whole, 0));
        const QString from = parts.isEmpty() ? text(one.fileName) : parts.join(QStringLiteral(" + "));
        add(Jobs::tr("Light"), one.name, one.description.empty() ? from : text(one.description),
            &studio::Studio::removeLight);
    }
    for (const book::SceneRecord& one : catalogue.ownScenes()) {
        const QString light = Jobs::tr("%1 at %2 lux").arg(text(one.light), number(one.lux, 0));
        add(Jobs::tr("Scene"), one.name,
            one.glazing.empty() ? light : Jobs::tr("%1 behind %2").arg(light, text(one.glazing)),
            &studio::Studio::removeScene);
    }
    for (const book::GlazingRecord& one : catalogue.ownGlazings())
        add(Jobs::tr("Glazing"), one.name, text(one.description.empty() ? one.fileName : one.description),
            &studio::Studio::removeGlazing);
    for (const book::ViewerRecord& one : catalogue.viewers())
        add(Jobs::tr("Viewer"), one.name, Jobs::tr("%1 years").arg(number(one.ageYears, 0)),
            &studio::Studio::removeViewer);
    for (const book::DeviceRecord& one : devices)
        add(Jobs::tr("Scanner or camera"), one.name,
            Jobs::tr("on %1, learned from %2").arg(text(one.paper), text(one.picture)),
            &studio::Studio::removeDevice);
    return out;
}

std::vector<TableModel::Row> rowsOf(const std::vector<Own>& own) {
    std::vector<TableModel::Row> rows;
    rows.reserve(own.size());
    for (const Own& one : own)
        rows.push_back({.cells = {{.text = one.kind}, {.text = one.name}, {.text = one.facts}},
                        .key = static_cast<double>(rows.size())});
    return rows;
}

}  // namespace

void Jobs::withCorrections(const QString& condition,
                           std::function<void(const studio::Catalogue&, const Corrections&)> ask) {
    using Known = std::pair<studio::Catalogue, Corrections>;
    workspace_.tasks().run(
        QString(), this,
        [studio = workspace_.studio(), name = text(condition)](Task&) -> Result<Known> {
            auto catalogue = studio.catalogue();
            if (!catalogue) return std::move(catalogue).error();
            if (name.empty()) return Known{*std::move(catalogue), {}};
            auto corrections = studio.corrections(name);
            if (!corrections) return std::move(corrections).error();
            return Known{*std::move(catalogue), *std::move(corrections)};
        },
        [this, ask = std::move(ask)](const Result<Known>& found) {
            if (!found) {
                Q_EMIT failed(tr("The book cannot be read"), found.error());
            } else if (window_->findChild<FormDialog*>() == nullptr) {
                ask(found->first, found->second);
            }
        });
}

void Jobs::withCatalogue(std::function<void(const studio::Catalogue&)> ask) {
    withCorrections({}, [ask = std::move(ask)](const studio::Catalogue& catalogue, const Corrections&) {
        ask(catalogue);
    });
}

void Jobs::addLight() {
    withCatalogue([this](const studio::Catalogue& catalogue) {
        auto* dialog = new FormDialog(tr("A light of your own"), tr("Keep it"), window_);
        dialog->words(
            tr("A spectrum from a meter makes it possible to judge prints under the very lamps "
               "they hang under. Do not stare into lamps, least of all ultraviolet ones."));
        QLineEdit* name = dialog->line(tr("&Name"), {}, "name");
        QLineEdit* description = dialog->line(tr("&Description"), {}, "description");
        PathEdit* file = dialog->path(tr("&File of the meter"), Kind::open, spectra(), "file");
        QLineEdit* column = dialog->line(tr("&Column, if it holds several"), {}, "column");
        dialog->words(tr("Or mix it of lights that are there, by their shares of the illuminance:"));
        const Mixture mixture(*dialog, catalogue);
        dialog->onAnswer([=, this] {
            studio::LightRequest request{.name = text(name->text().trimmed()),
                                         .description = text(description->text().trimmed()),
                                         .file = text(file->path()),
                                         .column = given(*column),
                                         .parts = mixture.parts(),
                                         .when = platform::utcNow()};
            if (request.file.empty() == request.parts.empty())
                return dialog->complain(
                    missing(tr("it is either measured or mixed"),
                            tr("Choose the file that the meter wrote, or the parts of the mixture")));
            answer(
                dialog, QString(),
                [studio = workspace_.studio(), request](Task&) { return studio.addLight(request); },
                [this, entered = name->text()](const std::vector<Note>& notes) {
                    sayKept(tr("The light '%1' is in the book").arg(entered), notes,
                            tr("To judge prints under it, tick it under View, How prints are looked at."));
                });
        });
        dialog->open();
    });
}

void Jobs::addScene() {
    withCatalogue([this](const studio::Catalogue& catalogue) {
        auto* dialog = new FormDialog(tr("A scene of your own"), tr("Keep it"), window_);
        dialog->words(
            tr("A place where prints hang: its light, how much of it falls on the print, and what "
               "stands in front."));
        QLineEdit* name = dialog->line(tr("&Name"), {}, "name");
        QComboBox* light = dialog->choice(tr("&Light"), itemsOf(catalogue.lightNames()), "light");
        QDoubleSpinBox* lux = dialog->number(tr("L&ux on the print"), 500, 1, 100000, 50, 0, "lux");
        Items glazings{{tr("nothing"), QString()}};
        for (auto& item : itemsOf(catalogue.glazingNames())) {
            if (item.first != QStringLiteral("none")) glazings.push_back(std::move(item));
        }
        QComboBox* glazing = dialog->choice(tr("&In front of the print"), glazings, "glazing");
        dialog->onAnswer([=, this] {
            answer(
                dialog, QString(),
                [studio = workspace_.studio(),
                 record = book::SceneRecord{.name = text(name->text().trimmed()),
                                            .light = text(light->currentData().toString()),
                                            .lux = lux->value(),
                                            .glazing = text(glazing->currentData().toString()),
                                            .when = platform::utcNow()}](Task&) {
                    return studio.addScene(record);
                },
                [this, entered = name->text()](Done) {
                    sayKept(tr("The scene '%1' is in the book").arg(entered), {},
                            tr("To judge prints in it, tick it under View, How prints are looked at."));
                });
        });
        dialog->open();
    });
}

void Jobs::addGlazing() {
    auto* dialog = new FormDialog(tr("A glazing of your own"), tr("Keep it"), window_);
    dialog->words(
        tr("How much of each wavelength a glass or film lets through, as its maker or a meter "
           "says. A scene can then have it in front of the print."));
    QLineEdit* name = dialog->line(tr("&Name"), {}, "name");
    QLineEdit* description = dialog->line(tr("&Description"), {}, "description");
    PathEdit* file = dialog->path(tr("&File"), Kind::open, spectra(), "file");
    QLineEdit* column = dialog->line(tr("&Column, if it holds several"), {}, "column");
    dialog->onAnswer([=, this] {
        if (file->path().isEmpty())
            return dialog->complain(
                missing(tr("no file is given"), tr("Choose the table of its transmittance")));
        answer(
            dialog, QString(),
            [studio = workspace_.studio(),
             request = studio::GlazingRequest{.name = text(name->text().trimmed()),
                                              .description = text(description->text().trimmed()),
                                              .file = text(file->path()),
                                              .column = given(*column),
                                              .when = platform::utcNow()}](Task&) {
                return studio.addGlazing(request);
            },
            [this, entered = name->text()](const std::vector<Note>& notes) {
                sayKept(tr("The glazing '%1' is in the book").arg(entered), notes,
                        tr("To judge prints behind it, make a scene of your own that has it."));
            });
    });
    dialog->open();
}

void Jobs::addViewer() {
    auto* dialog = new FormDialog(tr("Somebody who looks at your prints"), tr("Keep them"), window_);
    dialog->words(
        tr("The age tells what their lens lets through. A threshold is the least tint that they "
           "noticed on panels shown to them, in units of CAM16-UCS; leave it where none was found. "
           "This is no test of anybody's sight."));
    QLineEdit* name = dialog->line(tr("&Name"), {}, "name");
    QDoubleSpinBox* age = dialog->number(tr("&Age in years"), 50, 20, 80, 1, 0, "age");
    QDoubleSpinBox* field = dialog->number(tr("&Field of view in degrees"), 2, 1, 10, 1, 1, "field");
    QDoubleSpinBox* beside =
        dialog->number(tr("Threshold &beside a neutral"), 0, 0, 20, 0.1, 2, "thresholdBeside");
    QDoubleSpinBox* alone =
        dialog->number(tr("Threshold alone on a &wall"), 0, 0, 20, 0.1, 2, "thresholdAlone");
    for (QDoubleSpinBox* box : {beside, alone}) box->setSpecialValueText(tr("as assumed for their age"));
    dialog->onAnswer([=, this] {
        answer(
            dialog, QString(),
            [studio = workspace_.studio(), record = book::ViewerRecord{.name = text(name->text().trimmed()),
                                                                       .ageYears = age->value(),
                                                                       .fieldDegrees = field->value(),
                                                                       .thresholdBeside = given(*beside),
                                                                       .thresholdAlone = given(*alone),
                                                                       .when = platform::utcNow()}](Task&) {
                return studio.addViewer(record);
            },
            [this, entered = name->text()](Done) {
                sayKept(tr("'%1' is in the book").arg(entered), {},
                        tr("To ask them, choose them under View, How prints are looked at."));
            });
    });
    dialog->open();
}

void Jobs::learnDevice(const QString& condition) {
    auto* dialog = new FormDialog(tr("A scanner or camera is learned"), tr("Learn it"), window_);
    dialog->words(
        tr("From one sheet for a scanner or camera that was read by both: by the scanner or camera, "
           "and by an instrument. What is learned holds for this kind of paper, and for a camera "
           "in this light."));
    QLineEdit* name = dialog->line(tr("&Name of it"), {}, "name");
    auto* paper = new QComboBox(dialog);
    paper->setEditable(true);
    std::set<std::string> papers;
    for (const studio::ConditionOverview& one : workspace_.conditions()) papers.insert(one.condition.paper);
    for (const std::string& one : papers) paper->addItem(text(one));
    if (const auto* shown = workspace_.condition(condition))
        paper->setCurrentText(text(shown->condition.paper));
    dialog->field(tr("&Paper"), paper, "paper");
    PathEdit* picture =
        dialog->path(tr("&Scan or photograph"), Kind::open,
                     tr("Pictures (*.tif *.tiff *.png *.jpg *.jpeg *.dng);;Any file (*)"), "picture");
    PathEdit* measured =
        dialog->path(tr("&Instrument's file"), Kind::open,
                     tr("Measurements (*.txt *.cgats *.csv *.tsv *.cxf *.mxf);;Any file (*)"), "measured");
    dialog->onAnswer([=, this] {
        if (name->text().trimmed().isEmpty() || picture->path().isEmpty() || measured->path().isEmpty())
            return dialog->complain(missing(tr("something is not filled in"),
                                            tr("Give its name, the picture and the instrument's file")));
        answer(
            dialog, tr("Learning %1").arg(name->text()),
            [studio = workspace_.studio(),
             request = studio::DeviceRequest{.name = text(name->text().trimmed()),
                                             .paper = text(paper->currentText().trimmed()),
                                             .picture = text(picture->path()),
                                             .measured = text(measured->path()),
                                             .when = platform::utcNow()}](Task& task) mutable {
                request.goOn = [&task](double share) { return task.goOn(share); };
                return studio.learnDevice(request);
            },
            [this](const studio::LearnedDevice& learned) {
                sayKept(text(studio::wordsFromDevice(learned)), learned.notes,
                        tr("Choose it beside a scan or photograph when that is read in."));
            });
    });
    dialog->open();
}

void Jobs::sayKept(const QString& title, const std::vector<Note>& notes, const QString& next) {
    Q_EMIT said(title, (textOf(notes) + QLatin1Char('\n') + next).trimmed());
}

void Jobs::showOwn() {
    auto* dialog = new FormDialog(tr("The studio's own"), tr("Take it out of the book"), window_);
    dialog->words(
        tr("What ships with the program stays and is not listed. A light or glazing that a scene "
           "or a mixture uses stays as long as that does."));
    auto* rows = new TableModel({tr("What"), tr("Name"), tr("Facts")}, dialog);
    constexpr int kRowsShown = 10;
    auto* table = new RowsView(rows, kRowsShown, dialog);
    table->setObjectName(QStringLiteral("own"));
    table->setAccessibleName(dialog->windowTitle());
    auto* none = wordsLabel(dialog, tr("There is nothing yet."));
    dialog->widget(none);
    dialog->widget(table);
    dialog->stayOpen();
    const auto own = std::make_shared<std::vector<Own>>();
    const auto fill = [this, dialog = QPointer(dialog), rows, table, none, own] {
        workspace_.tasks().run(
            QString(), this,
            [studio = workspace_.studio()](Task&) -> Result<std::vector<Own>> {
                const auto catalogue = studio.catalogue();
                if (!catalogue) return catalogue.error();
                const auto devices = studio.devices();
                if (!devices) return devices.error();
                return ownOf(*catalogue, *devices);
            },
            [=](Result<std::vector<Own>> found) {
                if (!dialog) return;
                if (!found) return dialog->complain(found.error());
                *own = *std::move(found);
                rows->show(rowsOf(*own));
                none->setVisible(own->empty());
                table->setVisible(!own->empty());
                dialog->answerButton()->setEnabled(!own->empty());
                if (!own->empty()) table->choose(0);
                dialog->fit();
            });
    };
    // What is taken out is gone, so the button asks before it does it.
    const auto sure = std::make_shared<bool>(false);
    const auto ask = [=](bool isAsked) {
        *sure = isAsked;
        const QModelIndex current = table->currentIndex();
        dialog->answerButton()->setText(
            isAsked ? tr("Yes, take '%1' out for good").arg(current.siblingAtColumn(1).data().toString())
                    : tr("Take it out of the book"));
    };
    connect(table->selectionModel(), &QItemSelectionModel::currentChanged, dialog, [ask] { ask(false); });
    dialog->onAnswer([=, this, shown = QPointer(dialog)] {
        const QModelIndex current = table->currentIndex();
        if (!current.isValid()) return;
        if (!*sure) return ask(true);
        ask(false);
        dialog->answerButton()->setEnabled(false);
        workspace_.tasks().run(
            QString(), this,
            [studio = workspace_.studio(), remove = (*own)[static_cast<std::size_t>(current.row())].remove](
                Task&) { return remove(studio); },
            [=, this](const Outcome& done) {
                if (done) Q_EMIT workspace_.touched();
                if (!done && !shown) Q_EMIT failed(tr("It was not taken out"), done.error());
                if (!shown) return;
                dialog->answerButton()->setEnabled(true);
                if (!done) return dialog->complain(done.error());
                fill();
            });
    });
    fill();
    dialog->open();
}

void Jobs::lookAtPhotograph() {
    const QString picture =
        QFileDialog::getOpenFileName(window_, tr("A photograph with a neutral card in it"), QString(),
                                     tr("Pictures (*.tif *.tiff *.png *.jpg *.jpeg *.dng);;Any file (*)"));
    if (!picture.isEmpty()) lookAtPhotograph(picture);
}

void Jobs::lookAtPhotograph(const QString& picture) {
    (new PhotoDialog(workspace_, picture, window_))->open();
}

}  // namespace greywright::desktop
