using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>How a text kept with its reading would read under the lexicon in force. It is shown beside the reading and changes nothing.</summary>
internal sealed class ReadAnew(PortalDb db, ContentLibrary content, ConversationSoFar conversation)
{
    /// <summary>A sentence with the difference; null when the same lexicon read it, or none did. The text is read for itself, without the ones before it.</summary>
    public async Task<string?> Of(ReadingRow then, Reading stored, MessageRow message, CancellationToken stop)
    {
        if (then.Version == UnreadMessage.Version || then.Version == content.Lexicon.Version.ToString()) return null;
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == message.ClinicId, stop);
        var now = content.Lexicon.Read(message.Text, await conversation.Around(await db.Writer(message, stop), message, clinic, message.WrittenAt, stop));
        var (had, has) = (Signs(stored), Signs(now));
        return $"Read anew for itself under {content.Lexicon.Version}: {now.Tier.Name()}."
            + (had.Except(has).ToList() is { Count: > 0 } gone ? $" No longer found: {string.Join(", ", gone)}." : "")
            + (has.Except(had).ToList() is { Count: > 0 } found ? $" Newly found: {string.Join(", ", found)}." : "");
    }

    private HashSet<string> Signs(Reading reading) => [.. reading.Clues.Where(c => c.Tier >= Tier.SameDay).Select(c => content.Lexicon.NameOf(c.ConceptId))];
}
