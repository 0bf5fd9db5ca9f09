#include "notice_section.h"

#include <QFileDialog>
#include <QFileInfo>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "canvas/plot_view.h"
#include "canvas/strip_view.h"
#include "colour/words.h"
#include "condition_data.h"
#include "models.h"
#include "studio/notice_figures.h"
#include "text.h"

namespace greywright::desktop {
namespace {

constexpr int kSideBySide = 860;

QString levelWords(judge::TintLevel level) {
    switch (level) {
        case judge::TintLevel::none:
            return NoticeSection::tr("not seen");
        case judge::TintLevel::slight:
            return NoticeSection::tr("slight");
        case judge::TintLevel::plain:
            return NoticeSection::tr("plain");
        case judge::TintLevel::unknown:
            return NoticeSection::tr("cannot be told");
    }
    return {};
}

QString percent(const judge::Share& share) {
    return NoticeSection::tr("%1 % (%2 to %3)")
        .arg(number(share.value * 100, 0), number(share.low * 100, 0), number(share.high * 100, 0));
}

}  // namespace

NoticeSection::NoticeSection(ConditionData& shown, QWidget* parent)
    : Section(tr("Lights, and who would notice"), parent),
      data_(shown),
      words_(wordsLabel(this)),
      lights_(new TableModel({tr("Light"), tr("lux"), tr("Worst tint, ΔE00"), tr("Towards"), tr("At tone"),
                              tr("To the average eye"), tr("Notice beside a neutral"), tr("Notice it alone")},
                             this)),
      table_(new RowsView(lights_, 10)),
      picture_(button(this, {}, "byPicture")),
      tones_(new canvas::StripView),
      ages_(new canvas::StripView),
      plane_(new canvas::PlotView),
      flow_(new Flow(kSideBySide, this)),
      caution_(wordsLabel(this)) {
    table_->setObjectName(QStringLiteral("lights"));
    table_->setAccessibleName(tr("Every light and who would notice under it"));
    tones_->setObjectName(QStringLiteral("lightsByTones"));
    words_->setObjectName(QStringLiteral("noticeWords"));
    column().addWidget(words_);
    column().addWidget(table_);
    column().addWidget(picture_, 0, Qt::AlignLeft);
    connect(picture_, &QPushButton::clicked, this, [this] {
        if (!data_.picture().isEmpty()) return data_.countByPicture({});
        const QString chosen = QFileDialog::getOpenFileName(
            this, tr("The picture that will be printed"), QString(),
            tr("Pictures (*.tif *.tiff *.png *.jpg *.jpeg *.webp);;Any file (*)"));
        if (!chosen.isEmpty()) data_.countByPicture(chosen);
    });
    auto* left = new QWidget;
    auto* rows = new QVBoxLayout(left);
    rows->setContentsMargins(0, 0, 0, 0);
    const auto frame = [this](canvas::FigureView* view, const QString& name) {
        auto* out = new FigureFrame(view, name);
        connect(out, &FigureFrame::failed, this, &Section::failed);
        connect(out, &FigureFrame::said, this, &Section::said);
        return out;
    };
    rows->addWidget(frame(tones_, tr("Who would notice, by tone")));
    rows->addWidget(frame(ages_, tr("Who would notice, by age")));
    rows->addStretch(1);
    flow_->add(left, 3);
    flow_->add(frame(plane_, tr("What each viewer sees")), 2);
    column().addWidget(flow_);
    caution_->setText(
        tr("In the figure of what each viewer's eyes make of the worst tone every dot is a viewer, and an "
           "outline holds 95 % of them. The average eye is that of the standard observer; about half of all "
           "people notice more. Shares are predictions for people of normal colour vision, from published "
           "figures and "
           "some assumptions (see the report). This is no test of anybody's sight."));
    column().addWidget(caution_);
    connect(&data_, &ConditionData::noticeChanged, this, &NoticeSection::showNotice);
    connect(tones_, &canvas::StripView::picked, &data_, [this](int, int) {});
    showNotice();
}

void NoticeSection::showNotice() {
    const studio::Judgement* judged = data_.judgement();
    setVisible(judged != nullptr);
    if (judged == nullptr) return;
    const judge::Notice* notice = data_.notice();
    const bool isByPicture = !data_.picture().isEmpty();
    picture_->setVisible(data_.preferences().viewers.count > 0);
    picture_->setText(isByPicture ? tr("Count all tones al&ike again")
                                  : tr("Count tones as they occur in a pi&cture…"));
    std::vector<TableModel::Row> rows;
    for (std::size_t i = 0; i < judged->verdict.lights.size(); ++i) {
        const judge::LightVerdict& light = judged->verdict.lights[i];
        const std::string tint = colour::tintName(light.tint);
        TableModel::Row row{.tip = text(light.description), .key = static_cast<double>(i)};
        row.cells = {{.text = text(light.name)},
                     {.text = number(light.lux, 0), .isNumber = true},
                     {.text = number(light.deltaE00, 2), .isNumber = true},
                     {.text = text(tint)},
                     {.text = tr("%1 %").arg(number(light.worstTonePercent, 0)), .isNumber = true},
                     {.text = levelWords(light.level), .isBold = light.level == judge::TintLevel::plain}};
        if (light.notice) {
            row.cells.push_back({.text = percent(light.notice->beside)});
            row.cells.push_back({.text = percent(light.notice->alone)});
        } else {
            row.cells.push_back({.text = QStringLiteral("–")});
            row.cells.push_back({.text = QStringLiteral("–")});
        }
        rows.push_back(std::move(row));
    }
    lights_->show(std::move(rows));
    flow_->setVisible(notice != nullptr);
    caution_->setVisible(notice != nullptr);
    if (notice == nullptr) {
        words_->setText(data_.preferences().viewers.count == 0
                            ? tr("Nobody is asked: see View, How prints are looked at.")
                            : tr("Viewers are being asked…"));
        return;
    }
    const std::string named = data_.preferences().viewersAmong(data_.records().catalogue).named;
    if (!named.empty()) {
        words_->setText(
            tr("Of %1 people like %2, aged %3, %4 % would notice a tint beside something neutral in "
               "one of these places, %5 % with the print alone on a wall. (90 % intervals in "
               "brackets.)")
                .arg(number(static_cast<double>(notice->viewers), 0), text(named),
                     number(notice->youngestYears, 0), number(notice->besideAnywhere.value * 100, 0),
                     number(notice->aloneAnywhere.value * 100, 0)));
    } else
        words_->setText(tr("%1 % of %2 viewers aged %3 to %4 would notice a tint beside something neutral in "
                           "one of these "
                           "places, %5 % with the print alone on a wall. (90 % intervals in brackets.)")
                            .arg(number(notice->besideAnywhere.value * 100, 0))
                            .arg(number(static_cast<double>(notice->viewers), 0))
                            .arg(number(notice->youngestYears, 0), number(notice->oldestYears, 0),
                                 number(notice->aloneAnywhere.value * 100, 0)));
    if (isByPicture)
        words_->setText(
            words_->text() + QLatin1Char(' ') +
            tr("Tones count by their share of the area of %1.").arg(QFileInfo(data_.picture()).fileName()));
    figure::Cells tones = studio::lightsByTones(*notice, notice->tonesPercent);
    tones.title = text(tr("Who would notice each tone beside something neutral"));
    tones_->setCells(std::move(tones));
    figure::Cells ages = studio::lightsByAges(*notice);
    ages.title = text(tr("Who would notice, by age"));
    ages_->parentWidget()->setVisible(!ages.rows.empty());
    if (!ages.rows.empty()) ages_->setCells(std::move(ages));
    figure::Plot plane = studio::viewersOnThePlane(*notice);
    plane.title = text(tr("What each viewer's eyes make of the worst tone"));
    for (figure::Series& series : plane.series) {
        // What the dots and the outline are stands below; there is no room for it in a legend this narrow.
        if (auto* dots = std::get_if<figure::Points>(&series))
            dots->name = dots->name.substr(0, dots->name.find(':'));
    }
    plane_->setPlot(std::move(plane));
    const QString source =
        tr("%1 · trial %2 · %3").arg(data_.name()).arg(data_.trial()).arg(text(studio::version()));
    for (canvas::FigureView* view : std::initializer_list<canvas::FigureView*>{tones_, ages_, plane_})
        view->setSource(source);
}

}  // namespace greywright::desktop
