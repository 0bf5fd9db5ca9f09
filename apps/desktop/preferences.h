#pragma once

#include <QString>
#include <QStringList>

#include "colour/aim.h"
#include "studio/catalogue.h"
#include "studio/corrections.h"
#include "theme.h"

namespace greywright::desktop {

/// The few things that are kept in the system's place for settings rather than in the book.
struct Preferences {
    Shade shade = Shade::system;
    colour::TintAimKind aim = colour::TintAimKind::fade;
    studio::ViewerRequest viewers = {};  ///< who is asked whether they notice
    QStringList lights = {};         ///< scenes and lights that prints are looked at under; empty: the usual
    bool isSoughtForLights = false;  ///< settings are sought for these lights rather than for D50
    QStringList books = {};          ///< opened last, the latest first

    /// Those of `lights` that a book knows, or the usual scenes.
    [[nodiscard]] std::vector<std::string> lightsAmong(const studio::Catalogue& known) const;
    /// Who is asked: a viewer of the book only where it has one of that name, else the population.
    [[nodiscard]] studio::ViewerRequest viewersAmong(const studio::Catalogue& known) const;
    [[nodiscard]] static Preferences load();
    void save() const;
    /// Puts a book in front of those that were opened.
    void remember(const QString& book);
};

}  // namespace greywright::desktop
