#include <algorithm>
#include <cmath>

#include "core/contract.h"
#include "figure/layout.h"
#include "figure/style.h"
#include "figure/type.h"

namespace greywright::figure {
namespace {

constexpr double kRowGapPt = 8;

/// The least n at which every n-th label has room.
std::size_t labelStride(const SwatchRow& row, double swatchWidthPt) {
    double widest = 0;
    for (const Swatch& swatch : row.swatches)
        widest = std::max(widest, textWidthPt(swatch.label, kLabelSizePt));
    return std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil((widest + 3) / swatchWidthPt)));
}

/// One row from `area.top`; gives its bottom, labels included.
double paintRow(const SwatchRow& row, std::size_t number, const Rect& area, CellPage& page) {
    Scene& scene = page.scene;
    const double width = area.width / static_cast<double>(row.swatches.size());
    const std::size_t stride = labelStride(row, width);
    bool labelled = false;
    for (std::size_t i = 0; i < row.swatches.size(); ++i) {
        const Swatch& swatch = row.swatches[i];
        const Rect box{area.left + static_cast<double>(i) * width, area.top, width, area.height};
        addRect(scene, box, Fill{.colour = swatch.colour, .exact = true}, Stroke{swatch.colour, 0.3, {}});
        page.cells.push_back({number, i, box});
        if (swatch.label.empty() || i % stride != 0) continue;
        Text text{.at = {box.centre().x, area.bottom() + 3 + kAscent * kLabelSizePt},
                  .text = shortened(swatch.label, kLabelSizePt, area.width),
                  .sizePt = kLabelSizePt,
                  .colour = kQuietTextColour,
                  .anchor = Anchor::middle};
        const Rect inked = textBox(text);
        text.at.x -= std::max(0.0, inked.right() - scene.widthPt);
        add(scene, std::move(text));
        labelled = true;
    }
    addRect(scene, area, {}, Stroke{kAxisColour, 0.5, {}});
    return area.bottom() + (labelled ? 3 + kLabelSizePt * kLineHeight : 0);
}

}  // namespace

CellPage layOut(const Strip& strip) {
    expects(strip.widthPt >= 150 && strip.swatchHeightPt > 0,
            "a strip is at least 150 pt wide and has a height");
    CellPage page{{.widthPt = strip.widthPt, .title = strip.title, .description = strip.description}, {}};
    Scene& scene = page.scene;
    const double inner = strip.widthPt - 2 * kPagePaddingPt;
    double y = addLines(scene, wrapped(strip.title, kTitleSizePt, inner), {kPagePaddingPt, kPagePaddingPt},
                        kTitleSizePt, kTextColour, Anchor::start);
    double namesWidth = 0;
    bool any = false;
    for (const SwatchRow& row : strip.rows) {
        namesWidth = std::max(namesWidth, textWidthPt(row.name, kLabelSizePt));
        any = any || !row.swatches.empty();
    }
    namesWidth = std::min(namesWidth, strip.widthPt * 0.35);
    if (!any) {
        scene.description += scene.description.empty() ? "No data" : " No data.";
        y = addLines(scene, {"No data"}, {strip.widthPt / 2, y + kRowGapPt}, kTitleSizePt, kQuietTextColour,
                     Anchor::middle);
    }
    for (std::size_t number = 0; number < strip.rows.size(); ++number) {
        const SwatchRow& row = strip.rows[number];
        if (row.swatches.empty()) continue;
        const double left = kPagePaddingPt + (namesWidth > 0 ? namesWidth + 6 : 0);
        const Rect area{left, y + kRowGapPt, strip.widthPt - kPagePaddingPt - left, strip.swatchHeightPt};
        add(scene, Text{.at = {kPagePaddingPt, area.centre().y + 0.36 * kLabelSizePt},
                        .text = shortened(row.name, kLabelSizePt, namesWidth),
                        .sizePt = kLabelSizePt,
                        .colour = kTextColour});
        y = paintRow(row, number, area, page);
    }
    scene.heightPt = y + kPagePaddingPt;
    return page;
}

Scene sceneFromStrip(const Strip& strip) {
    return layOut(strip).scene;
}

}  // namespace greywright::figure
