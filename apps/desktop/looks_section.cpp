#include "looks_section.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QScreen>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

#include "canvas/strip_view.h"
#include "condition_data.h"
#include "screen_profile.h"
#include "studio/notice_figures.h"
#include "text.h"

namespace greywright::desktop {

LooksSection::LooksSection(ConditionData& shown, QWidget* parent)
    : Section(tr("As it will look"), parent),
      data_(shown),
      light_(new QComboBox(this)),
      factor_(new QComboBox(this)),
      shownFactor_(headingLabel(this, {}, 1.1)),
      screen_(wordsLabel(this)),
      strip_(new canvas::StripView) {
    light_->setObjectName(QStringLiteral("light"));
    factor_->setObjectName(QStringLiteral("factor"));
    strip_->setObjectName(QStringLiteral("swatches"));
    shownFactor_->setObjectName(QStringLiteral("shownFactor"));
    shownFactor_->setWordWrap(false);
    // The patches are what they are on a dark window too.
    strip_->setShades({.surface = canvas::Shades::Surface::light});
    factor_->addItem(tr("as large as helps"), 0.0);
    factor_->addItem(tr("as it is"), 1.0);
    for (const double times : {2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0})
        factor_->addItem(tr("× %1").arg(times), times);

    auto* row = new QHBoxLayout;
    const auto add = [&](const QString& words, QComboBox* box) {
        auto* label = new QLabel(words, this);
        label->setBuddy(box);
        row->addWidget(label);
        row->addWidget(box);
        connect(box, &QComboBox::activated, this, [this] {
            data_.showLight(light_->currentData().toString());
            showStrip();
        });
    };
    add(tr("&Light"), light_);
    add(tr("&Tint"), factor_);
    row->addWidget(shownFactor_);
    row->addStretch(1);
    column().addLayout(row);
    auto* frame = new FigureFrame(strip_, tr("Swatches"));
    connect(frame, &FigureFrame::failed, this, &Section::failed);
    connect(frame, &FigureFrame::said, this, &Section::said);
    column().addWidget(frame);
    column().addWidget(screen_);

    connect(strip_, &canvas::StripView::pickedColumn, &data_, [this](int picked) {
        if (static_cast<std::size_t>(picked) < tones_.size())
            data_.pickTone(tones_[static_cast<std::size_t>(picked)]);
    });
    connect(&data_, &ConditionData::sightChanged, this, &LooksSection::showStrip);
    connect(&data_, &ConditionData::tonePicked, this, &LooksSection::showStrip);
    connect(&data_, &ConditionData::recordsChanged, this, &LooksSection::fillLights);
    setVisible(false);
}

void LooksSection::fillLights() {
    light_->clear();
    light_->addItem(tr("D50, as measured"), QString());
    for (const std::string& scene : data_.records().catalogue.sceneNames())
        light_->addItem(text(scene), text(scene));
    for (const std::string& light : data_.records().catalogue.lightNames()) {
        if (light != "D50") light_->addItem(text(light), text(light));
    }
    light_->setCurrentIndex(std::max(0, light_->findData(data_.light())));
}

void LooksSection::showStrip() {
    const studio::Sight* seen = data_.sight();
    setVisible(seen != nullptr);
    if (seen == nullptr) return;
    light_->setCurrentIndex(std::max(0, light_->findData(data_.light())));
    const double chosen = factor_->currentData().toDouble();
    const double factor = chosen > 0 ? chosen : studio::tintFactor(seen->patches);
    constexpr std::size_t kMost = 21;
    tones_.clear();
    const std::size_t step = (seen->patches.size() + kMost - 1) / kMost;
    for (std::size_t i = 0; i < seen->patches.size(); i += std::max<std::size_t>(step, 1))
        tones_.push_back(seen->patches[i].tonePercent);
    if (tones_.back() != seen->patches.back().tonePercent) tones_.push_back(seen->patches.back().tonePercent);

    figure::Strip strip = studio::magnifiedTint(seen->patches, tones_, factor);
    ScreenProfile& profile = ScreenProfile::ofSystem();
    for (figure::SwatchRow& row : strip.rows) {
        for (figure::Swatch& swatch : row.swatches) swatch.colour = profile.onScreen(swatch.colour);
    }
    strip.title = text(tr("Under %1, tint × %2").arg(text(seen->light)).arg(factor));
    strip_->setStrip(std::move(strip));
    strip_->setSource(tr("%1 · trial %2 · tint × %3 · %4")
                          .arg(data_.name())
                          .arg(data_.trial())
                          .arg(factor)
                          .arg(text(studio::version())));
    shownFactor_->setText(factor > 1 ? tr("tint × %1").arg(factor) : tr("as it is"));
    screen_->setText(profile.words());
    if (const auto tone = data_.tone()) {
        const auto nearest =
            std::ranges::min_element(tones_, {}, [&](double one) { return std::abs(one - *tone); });
        strip_->setMarkedColumn(static_cast<int>(nearest - tones_.begin()));
    }
}

}  // namespace greywright::desktop
