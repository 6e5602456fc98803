using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Features.Shared;
using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Treatment;

/// <content>Buttons that fill, add or take out lines; nothing is signed by them.</content>
internal sealed partial class RecordModel
{
    /// <summary>One more empty line; nothing is signed.</summary>
    public Task<IActionResult> OnPostMoreAsync(Guid id) => KeepAndShow(id, Lines.Count + 1);

    /// <summary>The treatment was stopped before the first deposit: lines without an amount are taken out, a lot that stands in them goes to what was drawn up. Nothing is signed.</summary>
    public async Task<IActionResult> OnPostStoppedAsync(Guid id)
    {
        if (await Today() is not { } today) return NotFound();
        ScanReading.Fill(Lines, ReadTyped.Date(TreatedOn) ?? today);              // before lines go: what is "as above" keeps the pack it meant
        foreach (var line in Lines.Where(l => string.IsNullOrWhiteSpace(l.Amount)))
        {
            // The lot that was typed; without one, of a scan that can be read in more than one way, the first is the whole as it was scanned.
            foreach (var lot in RecordForm.LotsOf(line).Take(1).Where(lot => !Drawn.Exists(d => LotKey.Of(d.Lot ?? "") == LotKey.Of(lot))).ToList())
                Drawn.Insert(Drawn.FindLastIndex(d => !d.IsBlank) + 1, new() { Product = line.Product, Lot = lot });
        }

        Lines.RemoveAll(l => string.IsNullOrWhiteSpace(l.Amount));
        Said = Lines.Count > 0 ? "Placements with an amount were left as they are: they say that something was placed." : "Nothing was placed. Write what happened under the immediate events, and how much was drawn up of each lot that stands there.";
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>Lot and expiry filled from what was scanned; nothing is signed.</summary>
    public async Task<IActionResult> OnPostScanAsync(Guid id)
    {
        if (await Today() is not { } today) return NotFound();
        Reasons = [.. ScanReading.Fill(Lines, ReadTyped.Date(TreatedOn) ?? today), .. await RecallFaults(Form)];
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>A tap on the face opens a placement there; nothing is signed.</summary>
    public async Task<IActionResult> OnPostFaceAsync(Guid id, [FromForm(Name = "Face.x")] int x, [FromForm(Name = "Face.y")] int y)
    {
        if (FaceMap.At(x, y) is not { } area)
        {
            Said = "That was outside all regions. Tap inside a frame, or choose the region in a line below.";
            return await KeepAndShow(id, Lines.Count);
        }

        var line = Lines.FindIndex(l => string.IsNullOrEmpty(l.Region) && string.IsNullOrEmpty(l.Side));
        if (line < 0 && Lines.Count < MostLines)
        {
            line = Lines.Count;
            Lines.Add(new() { Same = line > 0 });
        }

        Said = line < 0 ? $"A record has at most {MostLines} placements." : $"Placement {line + 1}: {Plain.Words(area.Region)}, {Plain.Words(area.Side)}.";
        if (line >= 0) (Lines[line].Region, Lines[line].Side) = (area.Region.ToString(), area.Side.ToString());
        return await KeepAndShow(id, Lines.Count);
    }
}
