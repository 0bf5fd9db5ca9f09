#include "preferences.h"

#include <QSettings>
#include <algorithm>

#include "studio/studio.h"

namespace greywright::desktop {
namespace {

constexpr qsizetype kMostBooks = 6;

template <typename T>
T within(const QVariant& value, T usual, T lowest, T highest) {
    bool isNumber = false;
    const double number = value.toDouble(&isNumber);
    return isNumber && number >= static_cast<double>(lowest) && number <= static_cast<double>(highest)
               ? static_cast<T>(number)
               : usual;
}

}  // namespace

Preferences Preferences::load() {
    const QSettings kept;
    Preferences out;
    out.shade = static_cast<Shade>(within(kept.value(QStringLiteral("shade")), 0, 0, 2));
    out.aim = static_cast<colour::TintAimKind>(within(kept.value(QStringLiteral("aim")), 0, 0, 2));
    studio::ViewerRequest& viewers = out.viewers;
    viewers.count =
        within<std::size_t>(kept.value(QStringLiteral("viewers/count")), viewers.count, 0, 100000);
    viewers.youngestYears =
        within(kept.value(QStringLiteral("viewers/youngest")), viewers.youngestYears, 20.0, 80.0);
    viewers.oldestYears = within(kept.value(QStringLiteral("viewers/oldest")), viewers.oldestYears,
                                 viewers.youngestYears, 80.0);
    viewers.fieldDegrees =
        within(kept.value(QStringLiteral("viewers/field")), viewers.fieldDegrees, 1.0, 10.0);
    viewers.named = kept.value(QStringLiteral("viewers/named")).toString().toStdString();
    out.lights = kept.value(QStringLiteral("lights")).toStringList();
    out.isSoughtForLights = kept.value(QStringLiteral("soughtForLights")).toBool();
    out.books = kept.value(QStringLiteral("books")).toStringList().mid(0, kMostBooks);
    return out;
}

std::vector<std::string> Preferences::lightsAmong(const studio::Catalogue& known) const {
    std::vector<std::string> out;
    for (const QString& name : lights) {
        if (known.scene(name.toStdString())) out.push_back(name.toStdString());
    }
    return out.empty() ? studio::usualScenes() : out;
}

studio::ViewerRequest Preferences::viewersAmong(const studio::Catalogue& known) const {
    studio::ViewerRequest out = viewers;
    if (!known.viewer(out.named)) out.named.clear();
    return out;
}

void Preferences::save() const {
    QSettings kept;
    kept.setValue(QStringLiteral("shade"), static_cast<int>(shade));
    kept.setValue(QStringLiteral("aim"), static_cast<int>(aim));
    kept.setValue(QStringLiteral("viewers/count"), static_cast<qulonglong>(viewers.count));
    kept.setValue(QStringLiteral("viewers/youngest"), viewers.youngestYears);
    kept.setValue(QStringLiteral("viewers/oldest"), viewers.oldestYears);
    kept.setValue(QStringLiteral("viewers/field"), viewers.fieldDegrees);
    kept.setValue(QStringLiteral("viewers/named"), QString::fromStdString(viewers.named));
    kept.setValue(QStringLiteral("lights"), lights);
    kept.setValue(QStringLiteral("soughtForLights"), isSoughtForLights);
    kept.setValue(QStringLiteral("books"), books);
}

void Preferences::remember(const QString& book) {
    books.removeAll(book);
    books.prepend(book);
    books = books.mid(0, kMostBooks);
}

}  // namespace greywright::desktop
