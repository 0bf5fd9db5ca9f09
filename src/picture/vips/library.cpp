#include "picture/vips/library.h"

namespace greywright::picture::library {
namespace {

void beSilent(const gchar*, GLogLevelFlags, const gchar*, gpointer) {}

bool start() {
    if (vips_init("greywright") != 0) return false;
    // No memory of earlier files, which may have changed; no loaders that are not made for strangers' files;
    // and no warnings on the program's standard error.
    vips_cache_set_max(0);
    vips_block_untrusted_set(TRUE);
    g_log_set_handler("VIPS", G_LOG_LEVEL_WARNING, beSilent, nullptr);
    return true;
}

}  // namespace

bool started() {
    static const bool done = start();
    return done;
}

std::string wholeComplaint() {
    const std::unique_ptr<char, decltype(&g_free)> text(vips_error_buffer_copy(), &g_free);
    return text ? text.get() : "";
}

std::string complaint() {
    const std::string all = wholeComplaint();
    return all.substr(0, all.find('\n'));
}

}  // namespace greywright::picture::library
