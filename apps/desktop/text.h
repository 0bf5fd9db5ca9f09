#pragma once

#include <QString>
#include <QStringList>
#include <string>
#include <string_view>

#include "book/records.h"
#include "core/result.h"

class QLabel;
class QWidget;

namespace greywright::desktop {

/// Between Qt's texts and ours, both Unicode.
[[nodiscard]] QString text(std::string_view utf8);
[[nodiscard]] std::string text(const QString& text);

/// What a library says, begun like a sentence, with no line broken before a percent sign.
[[nodiscard]] QString asSentence(const std::string& words);

/// An error for people: what happened, where, and what to do, a line each.
[[nodiscard]] QString textOf(const Error& error);

/// The notes' texts, one below the other.
[[nodiscard]] QString textOf(const std::vector<Note>& notes);

/// "across −8   up 0" with the names the user gave; "no tint" for a condition without a control.
[[nodiscard]] QString textOf(const book::Setting& setting);

/// A number for people, in the system's language, with so many digits behind the point and a true minus.
[[nodiscard]] QString number(double value, int digits);

/// The nearest to a name that can be lettered on a sheet: "Hohe" for one with an umlaut.
[[nodiscard]] QString letterable(const QString& name);

/// Numbers that a person wrote, with commas, semicolons or blanks between; none where one of them is no
/// number.
[[nodiscard]] std::vector<double> numbersIn(const QString& words);

/// "2031-04-05T06:07:08Z" as a date and time of this place.
[[nodiscard]] QString dateOf(const std::string& when);

/// A label that breaks its lines and whose text can be marked and copied, by the keyboard as well.
[[nodiscard]] QLabel* wordsLabel(QWidget* parent, const QString& text = {});

/// The same, larger by a factor and bold.
[[nodiscard]] QLabel* headingLabel(QWidget* parent, const QString& text, double times);

}  // namespace greywright::desktop
