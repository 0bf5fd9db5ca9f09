#pragma once

#include <QObject>
#include <QString>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "preferences.h"
#include "studio/foresight.h"
#include "studio/studio.h"
#include "workspace.h"

namespace greywright::desktop {

/// One condition as its page shows it: what the book holds of it, and what is computed from that beside the
/// window, the quick things first. Every part says by a signal that it is there or has changed.
class ConditionData : public QObject {
    Q_OBJECT

  public:
    /// What the book holds.
    struct Records {
        book::ConditionRecord condition = {};
        std::vector<book::ConditionChangeRecord> changes = {};  ///< of how it was entered
        std::vector<book::TrialRecord> trials = {};
        std::vector<book::CorrectionRecord> corrections = {};
        std::vector<book::MadeFileRecord> files = {};
        std::vector<book::SheetRecord> sheets = {};  ///< that carry the condition's name
        studio::Catalogue catalogue = {};
    };
    /// Another trial laid over the one that is shown.
    struct Other {
        QString condition = {};
        int trial = 0;
        std::shared_ptr<const studio::Judgement> judgement = {};

        [[nodiscard]] QString name(const QString& shownCondition) const;
    };

    ConditionData(Workspace& workspace, QString name, const Preferences& preferences,
                  QObject* parent = nullptr);
    ~ConditionData() override;

    /// Reads the book again; computes again only what has changed.
    void load();
    /// Computes all again: other viewers, another aim, other lights.
    void recompute();

    [[nodiscard]] const QString& name() const { return name_; }
    [[nodiscard]] bool isLoaded() const { return records_ != nullptr; }
    /// Valid: isLoaded().
    [[nodiscard]] const Records& records() const { return *records_; }
    /// The trial that is shown; 0 while none was measured.
    [[nodiscard]] int trial() const { return trial_; }
    [[nodiscard]] const book::TrialRecord* record(int trial) const;
    /// Null until it is there.
    [[nodiscard]] const studio::Judgement* judgement() const { return judgement_.get(); }
    /// Null while viewers are still asked, and where nobody is to be.
    [[nodiscard]] const judge::Notice* notice() const;
    [[nodiscard]] const studio::Sight* sight() const { return sight_.get(); }
    [[nodiscard]] const std::shared_ptr<const studio::Foresight>& foresight() const { return foresight_; }
    [[nodiscard]] const Other& other() const { return other_; }
    [[nodiscard]] const std::map<int, double>& worst() const { return worst_; }
    [[nodiscard]] std::optional<double> tone() const { return tone_; }
    [[nodiscard]] const QString& light() const { return light_; }
    [[nodiscard]] const Preferences& preferences() const { return preferences_; }
    [[nodiscard]] Workspace& workspace() { return workspace_; }
    [[nodiscard]] const studio::SteerRequest& steering() const { return steering_; }
    /// Nothing is being computed.
    [[nodiscard]] bool isSettled() const { return pending_ == 0; }

    void showTrial(int trial);
    void showOther(const QString& condition, int trial);
    void pickTone(double tonePercent);
    void showLight(const QString& light);
    /// Lets tones count by their share of this picture's area in what viewers notice; empty: all alike.
    void countByPicture(const QString& picture);
    [[nodiscard]] const QString& picture() const { return picture_; }

  Q_SIGNALS:
    void recordsChanged();
    void verdictChanged();
    void noticeChanged();
    void sightChanged();
    void foresightChanged();
    void worstChanged();
    void otherChanged();
    void tonePicked(double tonePercent);
    void settled();
    void failed(const QString& what, const greywright::Error& error);
    /// What is shown fits the book no longer: the condition has gone, or its control is another.
    void outdated();

  private:
    template <typename Work, typename Then>
    TaskPointer begin(const QString& title, Work work, Then then);
    void take(std::shared_ptr<const Records> records);
    void chooseTrial();
    void judge();
    void askViewers();
    void look();
    void foresee();
    void weigh();
    void judgeOther();
    void keep(int trial, const char* kind, std::function<std::string()> json);
    [[nodiscard]] std::vector<std::string> lightsLookedAt() const;
    [[nodiscard]] studio::JudgeRequest judgeRequest(bool withViewers) const;
    [[nodiscard]] auto judgeWork(bool withViewers) const;

    Workspace& workspace_;
    QString name_;
    const Preferences& preferences_;
    std::shared_ptr<const Records> records_;
    std::string fingerprint_;
    QString picture_;
    int trial_ = 0;
    int judged_ = 0, foreseen_ = 0;  ///< how often was asked
    bool isTonePicked_ = false;      ///< by hand
    bool isChosen_ = false;          ///< the trial was chosen by hand
    std::shared_ptr<const studio::Judgement> judgement_;
    std::shared_ptr<const studio::Sight> sight_;
    std::shared_ptr<const studio::Foresight> foresight_;
    Other other_;
    std::map<int, double> worst_;
    std::optional<double> tone_;
    QString light_;
    studio::SteerRequest steering_;
    int pending_ = 0;
    TaskPointer judging_, asking_, looking_, foreseeing_, weighing_, comparing_;
};

}  // namespace greywright::desktop
