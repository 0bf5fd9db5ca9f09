#pragma once

#include <QScrollArea>

#include "condition_data.h"

class QLabel;

namespace greywright::desktop {

class CorrectionsSection;
class Jobs;
class MapSection;
class NextSection;
class TrialsSection;

/// One condition from top to bottom as the job goes: what it is, what to do now, its trials, the verdict, how
/// it will look, who would notice, the map of settings, corrections, history.
class ConditionPage : public QScrollArea {
    Q_OBJECT

  public:
    ConditionPage(Workspace& workspace, const QString& name, Preferences& preferences, Jobs& jobs,
                  QWidget* parent = nullptr);

    [[nodiscard]] ConditionData& data() { return *data_; }
    [[nodiscard]] const QString& name() const { return data_->name(); }
    [[nodiscard]] book::Setting nextSetting() const;
    [[nodiscard]] MapSection& map() { return *map_; }

  Q_SIGNALS:
    void readWanted();
    void failed(const QString& what, const greywright::Error& error);
    void said(const QString& what);
    /// What is shown fits the book no longer: the condition has gone, or its control is another.
    void outdated();

  private:
    void showFacts();

    ConditionData* data_;
    QLabel* facts_;
    QLabel* axes_;
    NextSection* next_;
    MapSection* map_;
};

}  // namespace greywright::desktop
