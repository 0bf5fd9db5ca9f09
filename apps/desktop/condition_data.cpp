#include "condition_data.h"

#include <algorithm>
#include <utility>

#include "core/platform.h"
#include "studio/json.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using Records = ConditionData::Records;

Result<std::shared_ptr<const Records>> recordsOf(const studio::Studio& studio, const std::string& name) {
    auto out = std::make_shared<Records>();
    auto condition = studio.condition(name);
    if (!condition) return std::move(condition).error();
    auto changes = studio.conditionChanges(name);
    if (!changes) return std::move(changes).error();
    out->changes = *std::move(changes);
    auto trials = studio.trials(name);
    if (!trials) return std::move(trials).error();
    auto corrections = studio.corrections(name);
    if (!corrections) return std::move(corrections).error();
    auto files = studio.madeFiles(name);
    if (!files) return std::move(files).error();
    auto sheets = studio.sheets();
    if (!sheets) return std::move(sheets).error();
    const std::string lettered = text(letterable(text(name)));
    std::erase_if(*sheets, [&](const book::SheetRecord& sheet) {
        return sheet.name != name && sheet.name != lettered;
    });
    out->sheets = *std::move(sheets);
    auto catalogue = studio.catalogue();
    if (!catalogue) return std::move(catalogue).error();
    out->catalogue = *std::move(catalogue);
    out->condition = *std::move(condition);
    out->trials = *std::move(trials);
    out->corrections = *std::move(corrections);
    out->files = *std::move(files);
    return std::shared_ptr<const Records>(std::move(out));
}

/// Equal where nothing has to be computed again.
std::string fingerprintOf(const Records& records) {
    std::string out;
    for (const book::TrialRecord& trial : records.trials) {
        out += std::to_string(trial.number) + (trial.isWithdrawn() ? "-" : "+");
        for (const book::ReadingRecord& reading : trial.readings) out += reading.sha256;
    }
    for (const book::CorrectionRecord& one : records.corrections)
        out += "c" + std::to_string(one.number) + (one.withdrawnBecause ? "-" : "+");
    const auto add = [&out](const auto& own) {
        for (const auto& one : own) out += "," + one.name + one.when;
        out += ";";
    };
    add(records.catalogue.ownLights());
    add(records.catalogue.ownScenes());
    add(records.catalogue.ownGlazings());
    add(records.catalogue.viewers());
    return out + "f" + std::to_string(records.files.size());
}

void stop(const TaskPointer& task) {
    if (task) task->stop();
}

}  // namespace

QString ConditionData::Other::name(const QString& shownCondition) const {
    return condition == shownCondition ? tr("trial %1").arg(trial)
                                       : tr("%1, trial %2").arg(condition).arg(trial);
}

ConditionData::ConditionData(Workspace& workspace, QString name, const Preferences& preferences,
                             QObject* parent)
    : QObject(parent), workspace_(workspace), name_(std::move(name)), preferences_(preferences) {}

ConditionData::~ConditionData() {
    for (const TaskPointer& task : {judging_, asking_, looking_, foreseeing_, weighing_, comparing_})
        stop(task);
}

// A result counts only for what was asked last of its kind; `then` gets it and looks.
template <typename Work, typename Then>
TaskPointer ConditionData::begin(const QString& title, Work work, Then then) {
    ++pending_;
    return workspace_.tasks().run(title, this, std::move(work),
                                  [this, then = std::move(then)](auto result) mutable {
                                      --pending_;
                                      then(std::move(result));
                                      if (pending_ == 0) Q_EMIT settled();
                                  });
}

void ConditionData::load() {
    begin(
        QString(),
        [studio = workspace_.studio(), name = text(name_)](Task&) { return recordsOf(studio, name); },
        [this](const Result<std::shared_ptr<const Records>>& found) {
            const bool isOther =
                found && records_ != nullptr && (*found)->condition.axes != records_->condition.axes;
            if (found && !isOther) {
                take(*found);
            } else if (isOther || found.error().code == "condition-unknown") {
                Q_EMIT outdated();
            } else {
                Q_EMIT failed(tr("The condition cannot be read"), found.error());
            }
        });
}

void ConditionData::take(std::shared_ptr<const Records> records) {
    std::string fingerprint = fingerprintOf(*records);
    const bool isSame =
        records_ != nullptr && fingerprint == fingerprint_ && records->condition == records_->condition;
    records_ = std::move(records);
    fingerprint_ = std::move(fingerprint);
    Q_EMIT recordsChanged();
    if (!isSame) recompute();
}

void ConditionData::recompute() {
    if (!isLoaded()) return;
    steering_ = {.aim = preferences_.aim};
    if (preferences_.isSoughtForLights) {
        for (const std::string& name : lightsLookedAt()) steering_.lights.push_back({.name = name});
    }
    chooseTrial();
    judge();
    look();
    foresee();
    weigh();
    judgeOther();
}

void ConditionData::chooseTrial() {
    const book::TrialRecord* chosen = isChosen_ ? record(trial_) : nullptr;
    if (chosen == nullptr || chosen->readings.empty()) {
        isChosen_ = false;
        for (const book::TrialRecord& one : records_->trials) {
            if (!one.isWithdrawn() && !one.readings.empty()) chosen = &one;
        }
    }
    const int trial = chosen == nullptr ? 0 : chosen->number;
    if (trial != trial_) {
        judgement_.reset();
        sight_.reset();
    }
    trial_ = trial;
}

const book::TrialRecord* ConditionData::record(int trial) const {
    const auto found = std::ranges::find(records_->trials, trial, &book::TrialRecord::number);
    return found == records_->trials.end() ? nullptr : &*found;
}

const judge::Notice* ConditionData::notice() const {
    return judgement_ && judgement_->verdict.notice ? &*judgement_->verdict.notice : nullptr;
}

void ConditionData::countByPicture(const QString& picture) {
    picture_ = picture;
    judge();
}

std::vector<std::string> ConditionData::lightsLookedAt() const {
    return preferences_.lightsAmong(records_->catalogue);
}

studio::JudgeRequest ConditionData::judgeRequest(bool withViewers) const {
    studio::JudgeRequest request{.aim = preferences_.aim,
                                 .lights = lightsLookedAt(),
                                 .viewers = preferences_.viewersAmong(records_->catalogue)};
    if (!withViewers) request.viewers.count = 0;
    if (request.viewers.count > 0) request.picture = text(picture_);
    return request;
}

auto ConditionData::judgeWork(bool withViewers) const {
    return [studio = workspace_.studio(), name = text(name_), trial = trial_,
            request = judgeRequest(withViewers)](Task& task) mutable {
        request.goOn = [&task](double share) { return task.goOn(share); };
        return studio.judgeTrial(name, trial, request);
    };
}

void ConditionData::judge() {
    stop(judging_);
    stop(asking_);
    if (trial_ == 0) {
        ++judged_;
        judgement_.reset();
        Q_EMIT verdictChanged();
        Q_EMIT noticeChanged();
        return;
    }
    judging_ =
        begin(QString(), judgeWork(false), [this, asked = ++judged_](Result<studio::Judgement> judged) {
            if (asked != judged_) return;
            if (!judged) {
                if (judged.error().code != "stopped")
                    Q_EMIT failed(tr("The trial cannot be judged"), judged.error());
                return;
            }
            judgement_ = std::make_shared<const studio::Judgement>(*std::move(judged));
            // Until a tone is picked by hand, each verdict's worst one is shown.
            const double worst = judgement_->verdict.tint.worstTonePercent;
            const bool isOther = !isTonePicked_ && tone_ != worst;
            if (isOther) tone_ = worst;
            Q_EMIT verdictChanged();
            if (isOther) Q_EMIT tonePicked(*tone_);  // the patches may have been shown before
            Q_EMIT noticeChanged();
            askViewers();
        });
}

void ConditionData::askViewers() {
    if (preferences_.viewers.count == 0) {
        keep(trial_, "judge", [judged = judgement_] { return studio::jsonFromJudgement(*judged); });
        return;
    }
    asking_ =
        begin(tr("Asking %n viewers", nullptr, static_cast<int>(preferences_.viewers.count)), judgeWork(true),
              [this, asked = judged_](Result<studio::Judgement> judged) {
                  if (asked != judged_) return;
                  if (!judged) {
                      if (judged.error().code != "stopped")
                          Q_EMIT failed(tr("Viewers cannot be asked"), judged.error());
                      // Not for want of the picture.
                      if (!picture_.isEmpty() && judged.error().code != "stopped") return countByPicture({});
                      Q_EMIT noticeChanged();
                      return;
                  }
                  judgement_ = std::make_shared<const studio::Judgement>(*std::move(judged));
                  Q_EMIT verdictChanged();
                  Q_EMIT noticeChanged();
                  keep(trial_, "judge", [judged = judgement_] { return studio::jsonFromJudgement(*judged); });
              });
}

void ConditionData::look() {
    stop(looking_);
    if (trial_ == 0) {
        sight_.reset();
        Q_EMIT sightChanged();
        return;
    }
    looking_ = begin(
        QString(),
        [studio = workspace_.studio(), name = text(name_), trial = trial_,
         request = studio::SightRequest{.aim = preferences_.aim, .light = text(light_)}](Task&) {
            return studio.sight(name, trial, request);
        },
        [this, trial = trial_, light = light_](Result<studio::Sight> seen) {
            if (trial != trial_ || light != light_) return;
            if (!seen) {
                Q_EMIT failed(tr("The trial cannot be shown under this light"), seen.error());
                light_.clear();
                look();
                return;
            }
            sight_ = std::make_shared<const studio::Sight>(*std::move(seen));
            Q_EMIT sightChanged();
        });
}

void ConditionData::foresee() {
    stop(foreseeing_);
    if (records_->condition.axes.empty()) {
        foresight_.reset();
        Q_EMIT foresightChanged();
        return;
    }
    // Enough for a share within a few percent, few enough to follow the cross.
    constexpr std::size_t kMostViewers = 1000;
    studio::JudgeRequest looking = judgeRequest(true);
    looking.picture.clear();  // of settings, not of one print
    looking.viewers.count = std::min(looking.viewers.count, kMostViewers);
    foreseeing_ = begin(
        QString(),
        [studio = workspace_.studio(), name = text(name_), request = steering_, looking](Task&) {
            return studio.foresee(name, request, looking);
        },
        [this, asked = ++foreseen_](Result<studio::Foresight> foreseen) {
            if (asked != foreseen_) return;
            if (!foreseen) {
                if (foreseen.error().code == "no-trials-with-choices") return;
                const bool isForD50 = foreseen.error().code == "lights-without-spectra";
                Q_EMIT failed(isForD50 ? tr("Settings are sought for D50") : tr("Nothing can be foretold"),
                              foreseen.error());
                if (!isForD50) return;
                steering_.lights.clear();
                foresee();
                return;
            }
            foresight_ = std::make_shared<const studio::Foresight>(*std::move(foreseen));
            Q_EMIT foresightChanged();
            const studio::Search& search = foresight_->search;
            if (search.history.trials.empty()) return;
            const auto latest = std::ranges::max_element(search.history.trials, {}, &steer::Trial::number);
            keep(latest->number, "steer",
                 [foresight = foresight_] { return studio::jsonFromSearch(foresight->search); });
        });
}

void ConditionData::weigh() {
    weighing_ = begin(
        QString(),
        [studio = workspace_.studio(), name = text(name_), aim = preferences_.aim](Task&) {
            return studio.worths(name, aim);
        },
        [this](Result<std::vector<studio::TrialWorth>> found) {
            if (!found) return;  // load() has told what is wrong with the book
            worst_.clear();
            for (const studio::TrialWorth& worth : *found) worst_[worth.trial] = worth.worstDeltaE00;
            Q_EMIT worstChanged();
        });
}

void ConditionData::judgeOther() {
    if (other_.trial == 0) return;
    comparing_ = begin(
        QString(),
        [studio = workspace_.studio(), name = text(other_.condition), trial = other_.trial,
         request = judgeRequest(false)](Task&) { return studio.judgeTrial(name, trial, request); },
        [this, condition = other_.condition, trial = other_.trial](Result<studio::Judgement> judged) {
            if (condition != other_.condition || trial != other_.trial) return;
            if (!judged) {
                other_ = {};
                Q_EMIT failed(tr("The other trial cannot be shown"), judged.error());
            } else {
                other_.judgement = std::make_shared<const studio::Judgement>(*std::move(judged));
            }
            Q_EMIT otherChanged();
        });
}

// What was concluded belongs in the book, as after the same question on the command line.
void ConditionData::keep(int trial, const char* kind, std::function<std::string()> json) {
    begin(
        QString(),
        [studio = workspace_.studio(), name = text(name_), trial, kind,
         json = std::move(json)](Task&) -> Outcome {
            const auto note = studio.keepVerdict(
                name, {.trial = trial, .kind = kind, .json = json(), .when = platform::utcNow()});
            if (note) return Error{.code = note->code, .what = note->text};
            return Done{};
        },
        [this](const Outcome& kept) {
            if (!kept) {
                Q_EMIT failed(tr("The answer was not kept"), kept.error());
            } else {
                workspace_.refresh();
            }
        });
}

void ConditionData::showTrial(int trial) {
    const book::TrialRecord* chosen = isLoaded() ? record(trial) : nullptr;
    if (chosen == nullptr || chosen->readings.empty() || trial == trial_) return;
    trial_ = trial;
    isChosen_ = true;
    judge();
    look();
}

void ConditionData::showOther(const QString& condition, int trial) {
    other_ = {.condition = condition, .trial = trial};
    if (trial == 0) {
        Q_EMIT otherChanged();
        return;
    }
    judgeOther();
}

void ConditionData::pickTone(double tonePercent) {
    if (!judgement_ || judgement_->verdict.patches.empty()) return;
    const auto nearest = std::ranges::min_element(
        judgement_->verdict.patches, {},
        [&](const judge::PatchVerdict& patch) { return std::abs(patch.tonePercent - tonePercent); });
    tone_ = nearest->tonePercent;
    isTonePicked_ = true;
    Q_EMIT tonePicked(*tone_);
}

void ConditionData::showLight(const QString& light) {
    if (light == light_) return;
    light_ = light;
    look();
}

}  // namespace greywright::desktop
