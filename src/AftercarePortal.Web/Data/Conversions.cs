using Microsoft.EntityFrameworkCore.Storage.ValueConversion;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Data;

/// <summary>Instants as 64-bit Unix milliseconds: the same order and value on every database.</summary>
internal sealed class InstantAsMilliseconds() : ValueConverter<Instant, long>(i => i.ToUnixTimeMilliseconds(), ms => Instant.FromUnixTimeMilliseconds(ms));

/// <summary>Ids as their 16 bytes in reading order, where the database's own type would put them in another: so ids made in order stay in order.</summary>
internal sealed class GuidAsBytes() : ValueConverter<Guid, byte[]>(id => id.ToByteArray(true), bytes => new Guid(bytes, true));

/// <summary>Local dates as ISO text.</summary>
internal sealed class LocalDateAsIso() : ValueConverter<LocalDate, string>(d => LocalDatePattern.Iso.Format(d), s => LocalDatePattern.Iso.Parse(s).Value);

/// <summary>Local times as ISO text.</summary>
internal sealed class LocalTimeAsIso() : ValueConverter<LocalTime, string>(t => LocalTimePattern.GeneralIso.Format(t), s => LocalTimePattern.GeneralIso.Parse(s).Value);
