// What is asked before a test sheet is made.
#include <QCheckBox>
#include <QComboBox>
#include <QDir>
#include <QDoubleSpinBox>
#include <QLineEdit>
#include <algorithm>
#include <cmath>

#include "answer.h"
#include "core/platform.h"
#include "fields.h"
#include "print_page.h"
#include "sheet_preview.h"
#include "studio/convert.h"
#include "text.h"

namespace greywright::desktop {
namespace {

enum Kind { strips, spots, camera, block, neutral, steps, gradients, choice };

QString howToPrint(const sheet::Sheet& sheet) {
    const bool isInColour =
        std::ranges::any_of(sheet.patches, [](const sheet::Patch& patch) { return patch.rgb.has_value(); });
    return isInColour ? Jobs::tr(
                            "Print it in the driver's colour mode, without scaling and without colour "
                            "management: its colours are what is looked at.")
                      : Jobs::tr(
                            "Print it without scaling and without colour management, in the mode of "
                            "the condition.");
}

/// The fields of the question, and the sheet that they ask for.
class SheetFields {
  public:
    SheetFields(FormDialog& dialog, const QString& condition, const book::Setting& setting)
        : dialog_(dialog),
          condition_(condition),
          setting_(setting),
          // Another sheet, another order of what is to be found by eye.
          seed_(sheet::seedFromName(text(condition) + platform::utcNow())) {
        kind_ = dialog.choice(Jobs::tr("&What"),
                              {{Jobs::tr("Ramp for an instrument that reads strips"), strips},
                               {Jobs::tr("Ramp for an instrument that reads spots"), spots},
                               {Jobs::tr("Ramp for a scanner or camera"), camera},
                               {Jobs::tr("Block of a few tones, the next place on the page"), block},
                               {Jobs::tr("Near-neutral colours, for a neutralising table"), neutral},
                               {Jobs::tr("Steps to look at"), steps},
                               {Jobs::tr("Gradients and a picture to look at"), gradients},
                               {Jobs::tr("Numbered greys to choose the most neutral from"), choice}},
                              "kind");
        title_ = dialog.line(Jobs::tr("Na&me on it"), letterable(condition), "title");
        count_ = dialog.number(Jobs::tr("To&nes of a ramp"), 21, 11, 101, 10, 0, "tones");
        std::vector<std::pair<QString, QVariant>> pages;
        for (const std::string& page : sheet::pageNames()) pages.emplace_back(text(page), text(page));
        pages.emplace_back(Jobs::tr("a size of your own"), QString());
        page_ = dialog.choice(Jobs::tr("&Page"), pages, "page");
        page_->setCurrentText(QStringLiteral("A4"));
        width_ = dialog.number(Jobs::tr("Width in mm"), 210, 50, 2000, 10, 1, "pageWidth");
        height_ = dialog.number(Jobs::tr("Height in mm"), 297, 50, 2000, 10, 1, "pageHeight");
        dots_ = dialog.number(Jobs::tr("Dots per inch (&resolution)"), 360, 72, 2880, 60, 0, "dots");
        out_ = dialog.path(Jobs::tr("&File"), PathEdit::Kind::save,
                           Jobs::tr("TIFF (*.tif);;PNG (*.png);;PDF (*.pdf)"), "out");
        out_->setPath(QDir::home().filePath(fileNameOf(condition) + QStringLiteral("-sheet.tif")));
        replace_ = dialog.tick(Jobs::tr("Replace a file of the same name"), false, "replace");
        print_ = dialog.tick(Jobs::tr("Print it as well, at its exact size"), false, "print");
        preview_ = new SheetPreview(&dialog);
        dialog.field(Jobs::tr("Preview"), preview_, "preview");
        addMore();
        for (QComboBox* box : {kind_, page_, by_})
            QObject::connect(box, &QComboBox::currentIndexChanged, &dialog, [this] { look(); });
        for (QDoubleSpinBox* box : {count_, width_, height_, margin_, length_, across_, gap_, lead_, side_,
                                    shuffle_, place_, places_, step_, rings_, order_})
            QObject::connect(box, &QDoubleSpinBox::valueChanged, &dialog, [this] { look(); });
        for (QLineEdit* line : {title_, tones_, colours_, differences_})
            QObject::connect(line, &QLineEdit::textChanged, &dialog, [this] { look(); });
        look();
    }

    [[nodiscard]] Result<studio::SheetRequest> request() const {
        auto design = this->design();
        if (!design) return std::move(design).error();
        auto tag = encoding_->encoding();
        if (!tag) return std::move(tag).error();
        studio::SheetRequest made{.design = *std::move(design),
                                  .out = text(out_->path()),
                                  .dotsPerInch = static_cast<int>(dots_->value()),
                                  .encoding = *std::move(tag),
                                  .replace = replace_->isChecked(),
                                  .placeGiven = given(*place_).has_value(),
                                  .when = platform::utcNow()};
        if (kind() == block) made.condition = text(condition_);
        return made;
    }

    [[nodiscard]] QString path() const { return out_->path(); }
    [[nodiscard]] bool isPrinted() const { return print_->isChecked(); }

  private:
    [[nodiscard]] Kind kind() const { return static_cast<Kind>(kind_->currentData().toInt()); }

    void addMore() {
        FormDialog& dialog = dialog_;
        dialog.more();
        tones_ = dialog.line(Jobs::tr("Tones in percent"), {}, "tonesPercent");
        colours_ = dialog.line(Jobs::tr("Steps of colour in percent"), {}, "colours");
        colours_->setPlaceholderText(QStringLiteral("2.5, 5"));
        differences_ = dialog.line(Jobs::tr("Differences in percent"), {}, "differences");
        differences_->setPlaceholderText(QStringLiteral("0.5, 1, 1.5, 2, 3"));
        by_ = dialog.choice(Jobs::tr("Read by"),
                            {{Jobs::tr("spots"), static_cast<int>(spots)},
                             {Jobs::tr("strips"), static_cast<int>(strips)},
                             {Jobs::tr("a scanner or camera"), static_cast<int>(camera)}},
                            "by");
        length_ = usualOr(dialog, Jobs::tr("Length of a patch in mm"), 3, 60, 1, 1, "length");
        across_ = usualOr(dialog, Jobs::tr("Width of a strip in mm"), 3, 60, 1, 1, "across");
        gap_ = usualOr(dialog, Jobs::tr("Gap between them in mm"), 0, 60, 1, 1, "gap");
        lead_ = usualOr(dialog, Jobs::tr("Lead of a strip in mm"), -1, 60, 1, 1, "lead");
        side_ = usualOr(dialog, Jobs::tr("Side of a square in mm"), 4, 40, 1, 1, "side");
        shuffle_ = dialog.number(Jobs::tr("Order of the patches"), 0, 0, 9999, 1, 0, "shuffle");
        shuffle_->setSpecialValueText(Jobs::tr("as given"));
        shuffle_->setPrefix(Jobs::tr("shuffled, no. "));
        place_ = usualOr(dialog, Jobs::tr("Place on the page"), 0, 24, 1, 0, "place");
        place_->setSpecialValueText(Jobs::tr("the next"));
        places_ = usualOr(dialog, Jobs::tr("Places on the page"), 0, 24, 1, 0, "places");
        places_->setSpecialValueText(Jobs::tr("all that fit"));
        step_ = dialog.number(Jobs::tr("From colour to colour in percent"), 1.5, 0.1, 10, 0.5, 2, "step");
        rings_ = dialog.number(Jobs::tr("Rings of colours (1 to 3)"), 2, 1, 3, 1, 0, "rings");
        order_ = dialog.number(Jobs::tr("Hidden order"), 0, 0, 9999, 1, 0, "order");
        order_->setSpecialValueText(Jobs::tr("another each time"));
        order_->setPrefix(Jobs::tr("no. "));
        margin_ = usualOr(dialog, Jobs::tr("Margin in mm"), -1, 60, 1, 1, "margin");
        encoding_.emplace(dialog);
    }

    /// Shows what applies to the kind of sheet, and the sheet.
    void look() {
        const Kind is = kind();
        const auto read = static_cast<Kind>(by_->currentData().toInt());
        const bool isStrips = is == strips || (is == neutral && read == strips);
        const bool isSpots = is == spots || (is == neutral && read == spots);
        const bool isMarked = is == camera || (is == neutral && read == camera);
        const bool isRamp = is == strips || is == spots || is == camera;
        if (is != shown_) {
            // A camera's light is seldom even, and a strip of like colours cannot be read.
            shuffle_->setValue(is == camera || is == neutral ? 1 : 0);
            tones_->setPlaceholderText(is == block       ? QStringLiteral("35, 50, 65")
                                       : is == gradients ? QStringLiteral("25, 50, 75")
                                       : is == choice    ? QStringLiteral("50")
                                                         : Jobs::tr("even steps"));
            shown_ = is;
        }
        const bool isOwnSize = page_->currentData().toString().isEmpty();
        for (const auto& [field, applies] : std::initializer_list<std::pair<QWidget*, bool>>{
                 {count_, isRamp},
                 {width_, isOwnSize},
                 {height_, isOwnSize},
                 {tones_, is != steps},
                 {colours_, is == neutral},
                 {differences_, is == gradients},
                 {by_, is == neutral},
                 {length_, isStrips || isSpots},
                 {across_, isStrips},
                 {gap_, isStrips || isSpots},
                 {lead_, isStrips},
                 {side_, isMarked || is == block},
                 {shuffle_, isRamp || is == neutral},
                 {place_, is == block},
                 {places_, is == block},
                 {step_, is == choice},
                 {rings_, is == choice},
                 {order_, is == steps || is == gradients || is == choice}})
            dialog_.setApplies(field, applies);
        const auto wanted = design();
        if (wanted) {
            preview_->show(*wanted);
        } else {
            preview_->tell(wanted.error());
        }
        dialog_.fit();
    }

    [[nodiscard]] Result<sheet::Page> page() const {
        sheet::Page out{.widthMm = width_->value(), .heightMm = height_->value()};
        if (const QString name = page_->currentData().toString(); !name.isEmpty()) {
            const auto named = sheet::pageByName(text(name));
            if (!named) return named.error();
            out = *named;
        }
        out.marginMm = given(*margin_).value_or(out.marginMm);
        return out;
    }

    /// What a line of numbers says, or what is usual where it is empty.
    [[nodiscard]] static Result<std::vector<double>> numbers(const QLineEdit& line,
                                                             std::vector<double> usual) {
        if (line.text().trimmed().isEmpty()) return usual;
        auto out = numbersIn(line.text());
        if (out.empty())
            return missing(Jobs::tr("'%1' is no list of numbers").arg(line.text()),
                           Jobs::tr("Write numbers with commas between them, such as 2.5, 5"));
        return out;
    }

    [[nodiscard]] sheet::PatchSizes sizes(sheet::Instrument instrument) const {
        sheet::PatchSizes out = sheet::usualSizes(instrument);
        out.lengthMm = given(*length_).value_or(out.lengthMm);
        out.widthMm = given(*across_).value_or(out.widthMm);
        out.gapMm = given(*gap_).value_or(out.gapMm);
        out.leadMm = given(*lead_).value_or(out.leadMm);
        return out;
    }

    [[nodiscard]] std::optional<std::uint64_t> shuffle() const {
        if (shuffle_->value() == 0) return std::nullopt;
        return static_cast<std::uint64_t>(shuffle_->value());
    }

    [[nodiscard]] Result<studio::Design> design() const {
        const auto on = page();
        if (!on) return on.error();
        const sheet::Title title{.name = text(title_->text().trimmed()),
                                 .date = platform::utcNow().substr(0, 10)};
        const std::uint64_t seed = order_->value() > 0 ? static_cast<std::uint64_t>(order_->value()) : seed_;
        const Kind is = kind();
        const auto read = is == neutral ? static_cast<Kind>(by_->currentData().toInt()) : is;
        const auto instrument = read == strips ? sheet::Instrument::strip : sheet::Instrument::spot;
        std::vector<double> usual = sheet::evenTones(static_cast<std::size_t>(count_->value()));
        if (is == block) usual = sheet::BlockRequest{}.tonesPercent;
        if (is == neutral) usual = sheet::NeutralRequest{}.tonesPercent;
        if (is == gradients) usual = sheet::EyePictureRequest{}.tonesPercent;
        if (is == choice) usual = {sheet::ChoiceRequest{}.tonePercent};
        const auto tones = is == steps ? std::move(usual) : numbers(*tones_, std::move(usual));
        if (!tones) return tones.error();
        switch (is) {
            case strips:
            case spots:
                return studio::Design(sheet::RampRequest{.title = title,
                                                         .tonesPercent = *tones,
                                                         .instrument = instrument,
                                                         .sizes = sizes(instrument),
                                                         .shuffle = shuffle(),
                                                         .page = *on});
            case camera:
                return studio::Design(sheet::CameraRequest{.title = title,
                                                           .tonesPercent = *tones,
                                                           .sideMm = given(*side_),
                                                           .shuffle = shuffle(),
                                                           .page = *on});
            case block: {
                sheet::BlockRequest request{.title = title,
                                            .tonesPercent = *tones,
                                            .place = static_cast<int>(given(*place_).value_or(1)),
                                            .setting = studio::textFromSetting(setting_),
                                            .page = *on};
                request.sideMm = given(*side_).value_or(request.sideMm);
                if (const auto places = given(*places_)) request.places = static_cast<int>(*places);
                return studio::Design(std::move(request));
            }
            case neutral: {
                const auto colours = numbers(*colours_, sheet::NeutralRequest{}.stepsPercent);
                if (!colours) return colours.error();
                return studio::Design(sheet::NeutralRequest{.title = title,
                                                            .tonesPercent = *tones,
                                                            .stepsPercent = *colours,
                                                            .instrument = instrument,
                                                            .hasMarkers = read == camera,
                                                            .sizes = sizes(instrument),
                                                            .sideMm = given(*side_),
                                                            .shuffle = shuffle(),
                                                            .page = *on});
            }
            case steps:
                return studio::Design(sheet::EyeRequest{.title = title, .seed = seed, .page = *on});
            case gradients: {
                const auto differences =
                    numbers(*differences_, sheet::EyePictureRequest{}.differencesPercent);
                if (!differences) return differences.error();
                return studio::Design(sheet::EyePictureRequest{.title = title,
                                                               .tonesPercent = *tones,
                                                               .differencesPercent = *differences,
                                                               .seed = seed,
                                                               .page = *on});
            }
            case choice:
                break;
        }
        if (tones->size() > 1)
            return missing(Jobs::tr("the greys to choose from have one tone"),
                           Jobs::tr("Give one tone in percent, such as 50"));
        return studio::Design(sheet::ChoiceRequest{.title = title,
                                                   .tonePercent = tones->front(),
                                                   .stepPercent = step_->value(),
                                                   .rings = static_cast<int>(rings_->value()),
                                                   .seed = seed,
                                                   .page = *on});
    }

    FormDialog& dialog_;
    QString condition_;
    book::Setting setting_;
    std::uint64_t seed_;
    std::optional<Kind> shown_ = {};
    QComboBox* kind_;
    QLineEdit* title_;
    QDoubleSpinBox* count_;
    QComboBox* page_;
    QDoubleSpinBox* width_;
    QDoubleSpinBox* height_;
    QDoubleSpinBox* dots_;
    PathEdit* out_;
    QCheckBox* replace_;
    QCheckBox* print_;
    SheetPreview* preview_;
    QLineEdit* tones_;
    QLineEdit* colours_;
    QLineEdit* differences_;
    QComboBox* by_;
    QDoubleSpinBox* length_;
    QDoubleSpinBox* across_;
    QDoubleSpinBox* gap_;
    QDoubleSpinBox* lead_;
    QDoubleSpinBox* side_;
    QDoubleSpinBox* shuffle_;
    QDoubleSpinBox* place_;
    QDoubleSpinBox* places_;
    QDoubleSpinBox* step_;
    QDoubleSpinBox* rings_;
    QDoubleSpinBox* order_;
    QDoubleSpinBox* margin_;
    std::optional<EncodingFields> encoding_ = {};
};

}  // namespace

void Jobs::makeSheet(const QString& condition, const book::Setting& setting) {
    auto* dialog = new FormDialog(tr("A test sheet"), tr("Make it"), window_);
    const auto fields = std::make_shared<SheetFields>(*dialog, condition, setting);
    dialog->onAnswer([=, this] {
        auto wanted = fields->request();
        if (!wanted) return dialog->complain(wanted.error());
        const bool isPrinted = fields->isPrinted();
        if (isPrinted && text(fields->path()).ends_with(".pdf"))
            return dialog->complain(
                missing(tr("a PDF is printed by the program that shows it"),
                        tr("Choose .tif or .png to print from here, or do not print it")));
        answer(
            dialog, tr("Making the sheet"),
            [studio = workspace_.studio(), wanted = *std::move(wanted)](Task& task) mutable {
                wanted.goOn = [&task](double share) { return task.goOn(share); };
                return studio.makeSheet(wanted);
            },
            [this, isPrinted](const studio::MadeSheet& made) {
                QStringList files;
                for (const auto& file : made.files) files << text(file.string());
                Q_EMIT said(tr("Sheet %1 was made").arg(text(made.sheet.code)),
                            tr("%1\n%2 The definition lies beside it: %3")
                                    .arg(files.join(QLatin1Char('\n')), howToPrint(made.sheet),
                                         text(made.definition.string())) +
                                (made.notes.empty() ? QString() : QLatin1Char('\n') + textOf(made.notes)));
                if (isPrinted) {
                    if (const Outcome printed = printPages(files, window_); !printed)
                        Q_EMIT failed(tr("The sheet was not printed"), printed.error());
                }
            });
    });
    dialog->open();
}

}  // namespace greywright::desktop
