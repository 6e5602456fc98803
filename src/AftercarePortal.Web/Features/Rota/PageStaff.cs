using System.Security;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Pages staff about the portal itself; a report pages through the escalation policy. Puts it into the current unit of work.</summary>
internal sealed class PageStaff(PortalDb db, ContentLibrary content, IOptions<CarrierOptions> carrier)
{
    /// <summary>First part of the key of every such text: what becomes of one of them is never itself paged about.</summary>
    public const string Key = "alarm";

    /// <summary>Once for each person and <paramref name="about"/>, however often it is called.</summary>
    /// <param name="about">What it is about: ids and plain words, at most 80 characters.</param>
    /// <param name="everyone">Everyone, by text and voice. Otherwise those on call, by text; in a gap of the rota everyone all the same.</param>
    /// <param name="text">The text's id. With <paramref name="everyone"/> there is one more with <c>-voice</c> at its end.</param>
    /// <param name="page">The page to open, for example <c>/Operations</c>.</param>
    public async Task Run(string about, bool everyone, string text, string page, Instant now, CancellationToken stop)
    {
        var onCall = (await db.OnCallAt(now, stop)).OnCall;
        await To(about, everyone || onCall.InOrder.Count == 0 ? onCall.Everyone : onCall.InOrder, voice: everyone, text, page, now, stop);
    }

    /// <summary>When somebody who can be paged now was first paged about this; null: nobody was.</summary>
    public async Task<Instant?> FirstPagedAt(string about, Instant now, CancellationToken stop)
    {
        List<string> keys = [.. (await db.OnCallAt(now, stop)).Numbers.Keys.Select(person => TextKey(about, person))];
        return await db.Outgoing.Where(o => keys.Contains(o.Key)).MinAsync(o => (Instant?)o.MadeAt, stop);
    }

    /// <summary>The same to these people.</summary>
    /// <param name="people">Staff ids.</param>
    public async Task To(string about, IReadOnlyList<string> people, bool voice, string text, string page, Instant now, CancellationToken stop)
    {
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        var numbers = (await db.OnCallAt(now, stop)).Numbers;
        var link = new Uri(new Uri(carrier.Value.PublicUrl), page).ToString();
        foreach (var person in people)
        {
            await db.QueueOnce(TextKey(about, person), OutgoingKind.PageText, clinic.PageNumber, numbers[person], content.Texts.FillPage(text, clinic, "", link), now, stop);
            if (!voice) continue;
            var words = SecurityElement.Escape(content.Texts.FillPage(text + "-voice", clinic, "", ""));
            await db.QueueOnce($"{Key}:{about}:{person}:call", OutgoingKind.PageCall, clinic.PageNumber, numbers[person], $"<Response><Say>{words}</Say></Response>", now, stop);
        }
    }

    private static string TextKey(string about, string person) => $"{Key}:{about}:{person}:text";
}
