#pragma once

#include <QString>
#include <filesystem>
#include <functional>
#include <memory>

#include "core/random.h"
#include "main_window.h"
#include "simulate/printer.h"
#include "steer/control.h"
#include "testing/temporary_folder.h"

namespace greywright::desktop {

class FormDialog;

/// A window, and an invented printer in the next room whose control runs from -50 to 50 both ways.
class Room {
  public:
    explicit Room(const simulate::Recipe& recipe = {.seed = 4});

    [[nodiscard]] QString pathOf(const std::string& name) const;
    /// A sheet that was printed at a setting and measured: the file that the instrument's program wrote.
    [[nodiscard]] QString print(const steer::Setting& setting, int tones = 21);
    /// Starts a book and enters the condition "chalk", by the window's own buttons.
    void startWithCondition();
    /// Drops files onto the window and takes the first in as it is proposed.
    void takeIn(const QStringList& files);
    /// Prints at what is asked for, and takes the sheet in, so many times.
    void takeInAsAsked(int sheets);
    /// Opens every dialog that the window asks by for the condition "chalk", which has a trial, and looks at
    /// it.
    void forEveryQuestion(const std::function<void(FormDialog&)>& look);
    /// The question that the window asks.
    [[nodiscard]] FormDialog* asked();
    /// Gives the answer; fails the test where it is not taken.
    void answer(FormDialog* dialog);
    /// Nothing is being computed, and the window has shown it.
    void settle();

    testing::TemporaryFolder folder;
    std::unique_ptr<MainWindow> window = std::make_unique<MainWindow>();

  private:
    std::unique_ptr<simulate::Printer> printer_;
    Random random_{3};
    int sheets_ = 0;
};

/// Lets the window work until something is so, half a minute at most.
[[nodiscard]] bool waitUntil(const std::function<bool()>& isSo);

/// A part of a window by its name. Fails the test where there is none.
template <typename Part>
[[nodiscard]] Part* find(QObject* where, const char* name) {
    auto* found = where->findChild<Part*>(QString::fromLatin1(name));
    if (found == nullptr) throw std::runtime_error(std::string("no part of the name ") + name);
    return found;
}

}  // namespace greywright::desktop
