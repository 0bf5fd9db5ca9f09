#include "core/said.h"

namespace greywright {
namespace {

Translation& current() {
    static Translation translation = nullptr;
    return translation;
}

}  // namespace

void sayBy(Translation translation) {
    current() = translation;
}

Translation translation() {
    return current();
}

std::string translated(const char* english) {
    return current() == nullptr ? std::string(english) : current()(english);
}

}  // namespace greywright
