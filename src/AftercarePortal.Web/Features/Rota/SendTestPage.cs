using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Pages one person to see whether pages arrive, by text and voice. Puts it into the current unit of work.</summary>
internal sealed class SendTestPage(PortalDb db, ContentLibrary content, IOptions<CarrierOptions> carrier)
{
    /// <summary>Once for each key.</summary>
    /// <returns>False: it was sent before.</returns>
    public async Task<bool> Run(string person, string number, string key, Instant now, CancellationToken stop)
    {
        if (await db.TestPages.AnyAsync(t => t.Key == key, stop)) return false;
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        var test = new TestPageRow { Key = key, Person = person, Number = number, AskedAt = now, DueAt = now + content.Policy.TestPageWithin };
        db.Add(test);
        var minutes = $"{content.Policy.TestPageWithin.TotalMinutes:0}";
        await db.QueueOnce($"test:{test.Id}:text", OutgoingKind.PageText, clinic.PageNumber, number, content.Texts.FillPage("page-test", clinic, minutes, Address($"/Rota/Test/{test.Id}").ToString()), now, stop);
        await db.QueueOnce(
            $"test:{test.Id}:call", OutgoingKind.PageCall, clinic.PageNumber, number,
            VoicePage.Of(Address($"/carrier/voice/test?t={test.Id}"), content.Texts.FillPage("page-test-voice", clinic, "", ""), "Nothing was pressed. The test page is still to be taken."), now, stop);
        db.Enqueue(RotaJobs.TestDue, test.Id.ToString(), test.DueAt, lane: 0);
        return true;
    }

    private Uri Address(string path) => new(new Uri(carrier.Value.PublicUrl), path);
}
