#include "screen_profile.h"

#include <QCoreApplication>
#include <QGuiApplication>
#include <array>
#include <cstdlib>

#include <lcms2.h>
#include <xcb/xcb.h>

namespace greywright::desktop {
namespace {

struct Release {
    void operator()(void* reply) const { std::free(reply); }
};

QByteArray profileOfSystem() {
    const auto* x11 = qGuiApp->nativeInterface<QNativeInterface::QX11Application>();
    xcb_connection_t* connection = x11 == nullptr ? nullptr : x11->connection();
    if (connection == nullptr) return {};
    constexpr std::string_view kName = "_ICC_PROFILE";
    const std::unique_ptr<xcb_intern_atom_reply_t, Release> atom(xcb_intern_atom_reply(
        connection, xcb_intern_atom(connection, 1, static_cast<uint16_t>(kName.size()), kName.data()),
        nullptr));
    if (!atom || atom->atom == XCB_ATOM_NONE) return {};
    const xcb_window_t root = xcb_setup_roots_iterator(xcb_get_setup(connection)).data->root;
    constexpr uint32_t kMostWords = 4U << 20;
    const std::unique_ptr<xcb_get_property_reply_t, Release> property(xcb_get_property_reply(
        connection, xcb_get_property(connection, 0, root, atom->atom, XCB_ATOM_ANY, 0, kMostWords), nullptr));
    if (!property) return {};
    return {static_cast<const char*>(xcb_get_property_value(property.get())),
            xcb_get_property_value_length(property.get())};
}

}  // namespace

ScreenProfile::ScreenProfile(const QByteArray& bytes) {
    if (bytes.isEmpty()) return;
    cmsHPROFILE screen = cmsOpenProfileFromMem(bytes.constData(), static_cast<cmsUInt32Number>(bytes.size()));
    if (screen == nullptr) return;
    cmsHPROFILE srgb = cmsCreate_sRGBProfile();
    if (cmsGetColorSpace(screen) == cmsSigRgbData) {
        transform_ = cmsCreateTransform(srgb, TYPE_RGB_8, screen, TYPE_RGB_8, INTENT_RELATIVE_COLORIMETRIC,
                                        cmsFLAGS_NOCACHE);
        std::array<char, 256> name{};
        cmsGetProfileInfoASCII(screen, cmsInfoDescription, "en", "US", name.data(), name.size());
        name_ = QString::fromUtf8(name.data()).trimmed();
    }
    cmsCloseProfile(srgb);
    cmsCloseProfile(screen);
}

ScreenProfile::~ScreenProfile() {
    if (transform_ != nullptr) cmsDeleteTransform(transform_);
}

ScreenProfile& ScreenProfile::ofSystem() {
    static ScreenProfile profile(profileOfSystem());
    return profile;
}

figure::Rgb ScreenProfile::onScreen(figure::Rgb srgb) const {
    if (transform_ == nullptr) return srgb;
    const std::array<unsigned char, 3> in{srgb.r, srgb.g, srgb.b};
    std::array<unsigned char, 3> out{};
    cmsDoTransform(transform_, in.data(), out.data(), 1);
    return {out[0], out[1], out[2]};
}

QString ScreenProfile::words() const {
    if (isThere())
        return QCoreApplication::translate("ScreenProfile", "Shown by the screen's own profile, %1.")
            .arg(name_);
    return QCoreApplication::translate(
        "ScreenProfile",
        "The system gives no profile of this screen, so patches are shown as on an sRGB screen: "
        "trust the figures, and the magnified row for the direction, not the screen's own tint.");
}

}  // namespace greywright::desktop
