#pragma once

#include <QObject>

#include "condition_data.h"
#include "form_dialog.h"

namespace greywright::desktop {

/// The questions that are asked before something is entered, made or written; each then does it beside the
/// window and says how it came out.
class Jobs : public QObject {
    Q_OBJECT

  public:
    Jobs(Workspace& workspace, Preferences& preferences, QWidget* window);

    void newCondition();
    void makeSheet(const QString& condition, const book::Setting& setting);
    void makeCurve(const QString& condition);
    void makeTable(const QString& condition);
    void makeProfile(const QString& condition);
    void preparePictures(const QString& condition, const QStringList& pictures = {});
    void withdrawTrial(const QString& condition, int trial);
    void restoreTrial(const QString& condition, int trial);
    void withdrawCorrection(const QString& condition, int correction);
    void saveCorrection(const QString& condition, int correction);
    void saveReport(const QString& condition);
    void writeReport(const QString& condition, const QString& path);
    /// `original` is the name of the file that it was read from.
    void exportReading(const QString& condition, int trial, const QString& original);
    void correctCondition(const QString& condition);
    void removeCondition(const QString& condition);
    void addLight();
    void addScene();
    void addGlazing();
    void addViewer();
    void learnDevice(const QString& condition);
    void showOwn();
    void lookAtPhotograph();
    void lookAtPhotograph(const QString& picture);
    void askHowToLook();
    void checkBook();

  Q_SIGNALS:
    void conditionEntered(const QString& name);
    void preferencesChanged();
    void said(const QString& title, const QString& words);
    /// It went through, but not with all of it.
    void warned(const QString& title, const QString& words);
    void failed(const QString& what, const greywright::Error& error);

  private:
    void askHowToLook(const studio::Catalogue& catalogue);
    void makeTable(const QString& condition, const studio::Catalogue& catalogue);
    void makeProfile(const QString& condition, const std::vector<book::CorrectionRecord>& corrections);
    void preparePictures(const QString& condition, const QStringList& pictures,
                         const studio::Catalogue& catalogue,
                         const std::vector<book::CorrectionRecord>& corrections);
    /// Asks with what the book lends, unless something else is being asked already.
    void withCatalogue(std::function<void(const studio::Catalogue&)> ask);
    /// The same, with the corrections of a condition.
    using Corrections = std::vector<book::CorrectionRecord>;
    void withCorrections(const QString& condition,
                         std::function<void(const studio::Catalogue&, const Corrections&)> ask);
    void sayKept(const QString& title, const std::vector<Note>& notes, const QString& next);
    FormDialog* askCondition(const QString& title, const QString& doIt, const book::ConditionRecord& known,
                             std::function<void(FormDialog*, const book::ConditionRecord&)> then);
    /// A dialog that works on a result beside the window, closes when it is there and stays open otherwise.
    template <typename Work, typename Then>
    void answer(FormDialog* dialog, const QString& title, Work work, Then then);

    Workspace& workspace_;
    Preferences& preferences_;
    QWidget* window_;
};

}  // namespace greywright::desktop
