#include "simulate/camera.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <numbers>
#include <span>

#include <apriltag/apriltag.h>
#include <apriltag/tagStandard41h12.h>

#include "core/contract.h"
#include "core/random.h"
#include "simulate/jpeg.h"

namespace greywright::simulate {
namespace {

constexpr double kRadians = std::numbers::pi / 180;

using Matrix3 = std::array<double, 9>;

Matrix3 product(const Matrix3& one, const Matrix3& other) {
    Matrix3 out{};
    for (std::size_t i = 0; i < 9; ++i) {
        for (std::size_t k = 0; k < 3; ++k) out[i] += one[i / 3 * 3 + k] * other[k * 3 + i % 3];
    }
    return out;
}

Matrix3 adjugate(const Matrix3& m) {
    return {m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
            m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
            m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
}

std::array<double, 2> through(const Matrix3& m, double x, double y) {
    const double w = m[6] * x + m[7] * y + m[8];
    return {(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w};
}

/// From mm on the page to half diagonals from the picture's middle, without distortion.
Matrix3 projection(const Print& print, const Camera& camera, double distance) {
    const double turn = camera.turnDegrees * kRadians;
    const double tilt = camera.tiltDegrees * kRadians;
    const double towards = camera.tiltDirectionDegrees * kRadians;
    const auto turned = [](double angle) {
        return Matrix3{std::cos(angle), -std::sin(angle), 0, std::sin(angle), std::cos(angle), 0, 0, 0, 1};
    };
    const Matrix3 middle{1, 0, -print.widthMm / 2, 0, 1, -print.heightMm / 2, 0, 0, 1};
    // A plane leaning about the y axis, seen through a lens of two half diagonals' length.
    const Matrix3 lean{2 * std::cos(tilt), 0, 0, 0, 2, 0, std::sin(tilt), 0, distance};
    return product(turned(towards), product(lean, product(turned(turn - towards), middle)));
}

struct Lens {
    Matrix3 toPlane{};
    Matrix3 toPage{};
    double shiftX = 0;
    double shiftY = 0;
    double halfDiagonalPx = 1;
    double middleX = 0;
    double middleY = 0;
    double k1 = 0;
    double k2 = 0;

    [[nodiscard]] std::array<double, 2> pxFromMm(double xMm, double yMm) const {
        auto [x, y] = through(toPlane, xMm, yMm);
        x -= shiftX;
        y -= shiftY;
        const double r2 = x * x + y * y;
        const double bend = halfDiagonalPx * (1 + r2 * (k1 + r2 * k2));
        return {middleX + x * bend, middleY + y * bend};
    }

    [[nodiscard]] std::array<double, 2> mmFromPx(double px, double py) const {
        const double dx = (px - middleX) / halfDiagonalPx;
        const double dy = (py - middleY) / halfDiagonalPx;
        double x = dx;
        double y = dy;
        for (int i = 0; i < 6 && (k1 != 0 || k2 != 0); ++i) {
            const double r2 = x * x + y * y;
            const double bend = 1 + r2 * (k1 + r2 * k2);
            x = dx / bend;
            y = dy / bend;
        }
        return through(toPage, x + shiftX, y + shiftY);
    }
};

struct Extent {
    double left = 1e9, right = -1e9, top = 1e9, bottom = -1e9;
};

Extent extentOf(const Print& print, const Matrix3& toPlane) {
    Extent out;
    for (int i = 0; i < 4; ++i) {
        const auto [x, y] = through(toPlane, i % 2 == 0 ? 0 : print.widthMm, i < 2 ? 0 : print.heightMm);
        out = {std::min(out.left, x), std::max(out.right, x), std::min(out.top, y), std::max(out.bottom, y)};
    }
    return out;
}

Lens lensOf(const Print& print, const Camera& camera) {
    const auto width = static_cast<double>(camera.width);
    const auto height = static_cast<double>(camera.height);
    Lens lens{.halfDiagonalPx = std::hypot(width, height) / 2,
              .middleX = width / 2,
              .middleY = height / 2,
              .k1 = camera.k1,
              .k2 = camera.k2};
    double near = std::hypot(print.widthMm, print.heightMm) / 2;
    double far = 100 * near;
    for (int halving = 0; halving < 50; ++halving) {
        const double distance = std::sqrt(near * far);
        const Extent extent = extentOf(print, projection(print, camera, distance));
        const double share = lens.halfDiagonalPx * std::max((extent.right - extent.left) / width,
                                                            (extent.bottom - extent.top) / height);
        (share > camera.fill ? near : far) = distance;
    }
    lens.toPlane = projection(print, camera, far);
    lens.toPage = adjugate(lens.toPlane);
    const Extent extent = extentOf(print, lens.toPlane);
    lens.shiftX = (extent.left + extent.right) / 2;
    lens.shiftY = (extent.top + extent.bottom) / 2;
    return lens;
}

Light sampleOf(const Print& print, double xMm, double yMm) {
    const auto at = [](double mm, double sizeMm, std::size_t size) {
        const double px = mm / sizeMm * static_cast<double>(size) - 0.5;
        return std::clamp(px, 0.0, static_cast<double>(size) - 1.000001);
    };
    const double x = at(xMm, print.widthMm, print.width);
    const double y = at(yMm, print.heightMm, print.height);
    const auto column = static_cast<std::size_t>(x);
    const auto row = static_cast<std::size_t>(y);
    const double fx = x - static_cast<double>(column);
    const double fy = y - static_cast<double>(row);
    const float* pixel = &print.rgb[3 * (row * print.width + column)];
    const std::size_t below = 3 * print.width;
    Light out{};
    for (std::size_t c = 0; c < 3; ++c) {
        const double upper = pixel[c] + fx * (pixel[c + 3] - pixel[c]);
        const double lower = pixel[below + c] + fx * (pixel[below + c + 3] - pixel[below + c]);
        out[c] = upper + fy * (lower - upper);
    }
    return out;
}

Light seenAt(const Print& print, const Camera& camera, double xMm, double yMm) {
    for (auto thing = camera.things.rbegin(); thing != camera.things.rend(); ++thing) {
        const double dx = (xMm - thing->xMm) / thing->radiusXMm;
        const double dy = (yMm - thing->yMm) / thing->radiusYMm;
        if (dx * dx + dy * dy <= 1) return thing->light;
    }
    const bool onPage = xMm >= 0 && yMm >= 0 && xMm < print.widthMm && yMm < print.heightMm;
    return onPage ? sampleOf(print, xMm, yMm) : camera.table;
}

/// Gains act on the sensor's channels, which overlap; what comes out is brought back to sRGB's.
Light throughSensor(const Camera& camera, const Light& light) {
    const double share = camera.overlap;
    const double mean = (light[0] + light[1] + light[2]) / 3;
    Light out{};
    for (std::size_t c = 0; c < 3; ++c) out[c] = camera.gain[c] * ((1 - share) * light[c] + share * mean);
    const double meanOut = (out[0] + out[1] + out[2]) / 3;
    for (std::size_t c = 0; c < 3; ++c) out[c] = (out[c] - share * meanOut) / (1 - share);
    return out;
}

std::vector<float> exposed(const Print& print, const Camera& camera, const Lens& lens) {
    std::vector<float> out(camera.width * camera.height * 3);
    for (std::size_t row = 0; row < camera.height; ++row) {
        for (std::size_t column = 0; column < camera.width; ++column) {
            const double px = static_cast<double>(column) + 0.5;
            const double py = static_cast<double>(row) + 0.5;
            const auto [xMm, yMm] = lens.mmFromPx(px, py);
            const auto [asideMm, belowMm] = lens.mmFromPx(px + 0.25, py + 0.125);
            const Light light = lightAt(camera, print.widthMm, print.heightMm, xMm, yMm);
            const double r = std::hypot(px - lens.middleX, py - lens.middleY) / lens.halfDiagonalPx;
            const double dim = std::exp2(-camera.vignettingStops * r * r);
            Light sum{};
            for (const double step : {-1.0, 1.0}) {  // two samples on a diagonal against jagged edges
                const Light seen =
                    seenAt(print, camera, xMm + step * (asideMm - xMm), yMm + step * (belowMm - yMm));
                for (std::size_t c = 0; c < 3; ++c) sum[c] += seen[c] / 2 * light[c] * dim;
            }
            const Light developed = throughSensor(camera, sum);
            float* pixel = &out[3 * (row * camera.width + column)];
            for (std::size_t c = 0; c < 3; ++c) pixel[c] = static_cast<float>(developed[c]);
        }
    }
    return out;
}

void blur(std::vector<float>& rgb, std::size_t width, std::size_t height, double sigma) {
    if (sigma <= 0) return;
    const int reach = static_cast<int>(std::ceil(3 * sigma));
    std::vector<float> weights;
    float total = 0;
    for (int i = -reach; i <= reach; ++i) {
        weights.push_back(static_cast<float>(std::exp(-i * i / (2 * sigma * sigma))));
        total += weights.back();
    }
    for (float& weight : weights) weight /= total;
    std::vector<float> in(rgb.size());
    const auto pass = [&](std::size_t stride, std::size_t count, std::size_t lineStride, std::size_t lines) {
        in.swap(rgb);
        for (std::size_t line = 0; line < lines; ++line) {
            for (std::size_t i = 0; i < count; ++i) {
                std::array<float, 3> sum{};
                for (int k = -reach; k <= reach; ++k) {
                    const auto j = static_cast<std::size_t>(
                        std::clamp(static_cast<int>(i) + k, 0, static_cast<int>(count) - 1));
                    const float weight = weights[static_cast<std::size_t>(k + reach)];
                    for (std::size_t c = 0; c < 3; ++c)
                        sum[c] += weight * in[line * lineStride + j * stride + c];
                }
                for (std::size_t c = 0; c < 3; ++c) rgb[line * lineStride + i * stride + c] = sum[c];
            }
        }
    };
    pass(3, width, 3 * width, height);
    pass(3 * width, height, 3, width);
}

double codeOfLight(double light) {
    // IEC 61966-2-1
    return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
}

}  // namespace

Light lightAt(const Camera& camera, double pageWidthMm, double pageHeightMm, double xMm, double yMm) {
    if (camera.lamps.empty()) return {1, 1, 1};
    const auto fall = [](const Lamp& lamp, double x, double y) {
        const double dx = (x - lamp.xMm) / lamp.heightMm;
        const double dy = (y - lamp.yMm) / lamp.heightMm;
        const double slant = 1 + dx * dx + dy * dy;
        return 1 / (slant * std::sqrt(slant));
    };
    Light out{};
    for (const Lamp& lamp : camera.lamps) {
        const double share = fall(lamp, xMm, yMm) / fall(lamp, pageWidthMm / 2, pageHeightMm / 2);
        for (std::size_t c = 0; c < 3; ++c) out[c] += lamp.light[c] * share;
    }
    return out;
}

Print printOf(const sheet::Sheet& sheet, int page, double pixelsPerMm,
              const std::function<Light(double)>& lightOfTone, const Light* card) {
    Print out{.widthMm = sheet.page.widthMm, .heightMm = sheet.page.heightMm};
    out.width = static_cast<std::size_t>(std::lround(out.widthMm * pixelsPerMm));
    out.height = static_cast<std::size_t>(std::lround(out.heightMm * pixelsPerMm));
    out.rgb.resize(3 * out.width * out.height);
    const auto fill = [&](double x, double y, double width, double height, const Light& light) {
        const auto edge = [&](double mm, std::size_t most) {
            return std::min(static_cast<std::size_t>(std::lround(std::max(0.0, mm * pixelsPerMm))), most);
        };
        for (std::size_t row = edge(y, out.height); row < edge(y + height, out.height); ++row) {
            for (std::size_t column = edge(x, out.width); column < edge(x + width, out.width); ++column) {
                for (std::size_t c = 0; c < 3; ++c) {
                    out.rgb[3 * (row * out.width + column) + c] = static_cast<float>(light[c]);
                }
            }
        }
    };
    fill(0, 0, out.widthMm, out.heightMm, lightOfTone(0));
    for (const sheet::Mark& mark : sheet.marks) {
        if (mark.page == page) {
            fill(mark.at.x, mark.at.y, mark.at.width, mark.at.height, lightOfTone(mark.tonePercent));
        }
    }
    for (const sheet::Patch& patch : sheet.patches) {
        if (patch.page == page) {
            fill(patch.at.x, patch.at.y, patch.at.width, patch.at.height, lightOfTone(patch.tonePercent));
        }
    }
    const std::unique_ptr<apriltag_family_t, void (*)(apriltag_family_t*)> family(tagStandard41h12_create(),
                                                                                  tagStandard41h12_destroy);
    for (const sheet::Marker& marker : sheet.markers) {
        if (marker.page != page) continue;
        image_u8_t* cells = apriltag_to_image(family.get(), marker.number);
        for (int i = 0; i < 81; ++i) {
            const double cell = marker.at.width / 9;
            const bool black = cells->buf[i / 9 * cells->stride + i % 9] < 128;
            fill(marker.at.x + i % 9 * cell, marker.at.y + i / 9 * cell, cell, cell,
                 lightOfTone(black ? 100 : 0));
        }
        std::free(cells->buf);  // the library's own function for it is not exported everywhere
        std::free(cells);
    }
    if (card != nullptr && sheet.card) {
        fill(sheet.card->x, sheet.card->y, sheet.card->width, sheet.card->height, *card);
    }
    return out;
}

Shot take(const Print& print, const Camera& camera) {
    expects(camera.tiltDegrees >= 0 && camera.tiltDegrees < 60, "take: tilt of 0 to 60 degrees");
    const Lens lens = lensOf(print, camera);
    std::vector<float> rgb = exposed(print, camera, lens);
    blur(rgb, camera.width, camera.height, camera.blurPx);
    Random random(camera.seed);
    for (float& light : rgb) {
        const double noise =
            random.normal() * std::sqrt(camera.shotNoise * camera.shotNoise * std::max(0.0F, light) +
                                        camera.readNoise * camera.readNoise);
        light = static_cast<float>(255 * codeOfLight(std::clamp(light + noise, 0.0, 1.0)));
    }
    for (std::size_t i = 0; i < camera.dust; ++i) {
        const auto row = static_cast<std::size_t>(random.uniform() * static_cast<double>(camera.height - 1));
        const auto column =
            static_cast<std::size_t>(random.uniform() * static_cast<double>(camera.width - 1));
        const float code = random.uniform() < 0.5F ? 30.0F : 250.0F;
        std::fill_n(&rgb[3 * (row * camera.width + column)], random.uniform() < 0.5 ? 3 : 6, code);
    }
    if (camera.meddle) {
        for (std::size_t i = 0; i < rgb.size(); i += 3) {
            const Light codes = camera.meddle({rgb[i] / 255.0, rgb[i + 1] / 255.0, rgb[i + 2] / 255.0});
            for (std::size_t c = 0; c < 3; ++c) rgb[i + c] = static_cast<float>(255 * codes[c]);
        }
    }
    if (camera.jpegQuality > 0) roundAsJpeg(rgb, camera.width, camera.height, camera.jpegQuality);
    Shot shot;
    shot.picture.width = shot.picture.fileWidth = camera.width;
    shot.picture.height = shot.picture.fileHeight = camera.height;
    shot.picture.format = camera.jpegQuality > 0 ? "JPEG" : "PNG";
    shot.picture.codes.reserve(rgb.size());
    for (const float code : rgb) {
        shot.picture.codes.push_back(
            static_cast<std::uint16_t>(257 * std::lround(std::clamp(code, 0.0F, 255.0F))));
    }
    shot.pxFromMm = [lens](double xMm, double yMm) { return lens.pxFromMm(xMm, yMm); };
    return shot;
}

}  // namespace greywright::simulate
