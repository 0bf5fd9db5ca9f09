#include "text.h"

#include <QDateTime>
#include <QLabel>
#include <QLocale>
#include <cmath>

#include "core/numbers.h"
#include "core/said.h"
#include "sheet/lettering.h"

namespace greywright::desktop {

QString text(std::string_view utf8) {
    return QString::fromUtf8(utf8.data(), static_cast<qsizetype>(utf8.size()));
}

std::string text(const QString& text) {
    return text.toStdString();
}

QString asSentence(const std::string& words) {
    QString out = text(translated(words.c_str()));  // constants are not said before they come here
    // "a* and b*" stay as they are.
    if (out.size() > 1 && out[1].isLetter()) out[0] = out[0].toUpper();
    return out.replace(QStringLiteral(" %"), QChar(QChar::Nbsp) + QStringLiteral("%"));
}

QString textOf(const Error& error) {
    QStringList lines{asSentence(error.what)};
    Place place = error.where;
    if (place.field.starts_with("--")) place.field.clear();  // an option of the command line
    if (place.path.empty() && !place.field.empty()) {
        lines.front() = asSentence(place.field + ": " + error.what);
    } else if (const std::string where = place.text(); !where.empty()) {
        lines << text(where);
    }
    if (!error.next.empty()) lines << asSentence(error.next);
    return lines.join(QLatin1Char('\n'));
}

QString textOf(const std::vector<Note>& notes) {
    QStringList lines;
    for (const Note& note : notes) lines << asSentence(note.text);
    return lines.join(QLatin1Char('\n'));
}

QString textOf(const book::Setting& setting) {
    if (setting.empty()) return QObject::tr("no tint control");
    QStringList parts;
    for (const book::AxisValue& axis : setting) {
        const int digits = axis.value == std::round(axis.value) ? 0 : 2;
        parts << text(axis.axis) + QChar(QChar::Nbsp) + number(axis.value, digits);
    }
    return parts.join(QStringLiteral("   "));
}

QString number(double value, int digits) {
    QString out = QLocale().toString(value, 'f', digits);
    const QString zero = QLocale().toString(0.0, 'f', digits);
    if (out == QLocale().negativeSign() + zero) return zero;
    return out.replace(QLatin1Char('-'), QChar(0x2212));
}

QString letterable(const QString& name) {
    QString out;
    for (const QChar letter : name.normalized(QString::NormalizationForm_KD)) {
        if (letter.category() == QChar::Mark_NonSpacing) continue;
        if (letter == QChar(0xdf)) {
            out += QStringLiteral("ss");
        } else {
            out += sheet::cannotBeLettered(QString(letter).toStdString()) ? QLatin1Char('-') : letter;
        }
    }
    return out;
}

std::vector<double> numbersIn(const QString& words) {
    return numbersInText(text(QString(words).replace(QChar(0x2212), QLatin1Char('-'))));
}

QString dateOf(const std::string& when) {
    const QDateTime time = QDateTime::fromString(text(when), Qt::ISODate);
    return time.isValid() ? QLocale().toString(time.toLocalTime(), QLocale::ShortFormat) : text(when);
}

QLabel* wordsLabel(QWidget* parent, const QString& words) {
    auto* label = new QLabel(words, parent);
    label->setWordWrap(true);
    label->setTextFormat(Qt::PlainText);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    label->setFocusPolicy(Qt::NoFocus);
    return label;
}

QLabel* headingLabel(QWidget* parent, const QString& words, double times) {
    QLabel* label = wordsLabel(parent, words);
    QFont font = label->font();
    font.setPointSizeF(font.pointSizeF() * times);
    font.setBold(true);
    label->setFont(font);
    return label;
}

}  // namespace greywright::desktop
