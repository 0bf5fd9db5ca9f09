#pragma once

#include <QByteArray>
#include <QString>
#include <memory>

#include "figure/scene.h"

namespace greywright::desktop {

/// Turns colours of sRGB into what the screen needs to show them, by the screen's own ICC profile where the
/// system gives one, and says which it was.
class ScreenProfile {
  public:
    /// By the bytes of a profile; empty or not usable: colours go as they are. `words` says where it is from.
    explicit ScreenProfile(const QByteArray& profile);
    ~ScreenProfile();
    ScreenProfile(const ScreenProfile&) = delete;
    ScreenProfile& operator=(const ScreenProfile&) = delete;

    /// That of the main screen. Source: the ICC Profiles in X specification, property _ICC_PROFILE.
    [[nodiscard]] static ScreenProfile& ofSystem();

    [[nodiscard]] figure::Rgb onScreen(figure::Rgb srgb) const;
    [[nodiscard]] bool isThere() const { return transform_ != nullptr; }
    /// For people: which profile, or that there is none and what that means.
    [[nodiscard]] QString words() const;

  private:
    void* transform_ = nullptr;
    QString name_;
};

}  // namespace greywright::desktop
