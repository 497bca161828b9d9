#!/usr/bin/perl
# A board written from PROTOCOL.md alone: a TCP connection is its port. Pins 2-12 are digital, 5 and
# 6 can dim, 14 and 15 are analogue (1023 counts). For simulation only.
#
# Standard input:  close PIN | open PIN | counts PIN N | reset | deaf MS (sends nothing) | quit
# Standard output: port N, lamp PIN BRIGHTNESS, tone PIN HZ, free
use strict;
use warnings;
use IO::Select;
use IO::Socket::INET;
use Time::HiRes 'time';
use FindBin;
require "$FindBin::Bin/frames.pl";

$| = 1;
my $server = IO::Socket::INET->new(Listen => 1, LocalAddr => '127.0.0.1') or die "no port: $!";
print 'port ', $server->sockport, "\n";
my ($host, $buffer) = (undef, '');
my $boot_id = 41;
my (%grounded, %counts);    # what is wired to the pins
my ($hello_s, $bad, $deaf_until_s, %board);
my %debounced;
restart();

my $poll = IO::Select->new($server, \*STDIN);
while (1) {
    for my $ready ($poll->can_read(0.001)) {
        if ($ready == $server) {
            hang_up() if $host;
            $host = $server->accept or next;
            $host->blocking(0);
            $host->setsockopt(6, 1, 1);    # TCP_NODELAY
            $poll->add($host);
        } elsif ($ready == \*STDIN) {
            defined(my $line = <STDIN>) or exit;
            order(split ' ', $line);
        } elsif (!sysread $ready, $buffer, 4096, length $buffer) {
            hang_up();
        }
    }
    for my $message (take_frames(\$buffer)) {
        defined $message ? heard($message) : count_bad();
    }
    if (length $buffer > 121) {    # too long already: what is left of it is skipped
        $buffer = 'x' x 122;
    }
    work();
}

sub hang_up {
    $poll->remove($host);
    close $host;
    ($host, $buffer) = (undef, '');
}

sub order {
    my ($what, $pin, $value) = @_;
    $grounded{$pin} = 1 if $what eq 'close';
    delete $grounded{$pin} if $what eq 'open';
    $counts{$pin} = $value if $what eq 'counts';
    $deaf_until_s = time + $pin / 1000 if $what eq 'deaf';
    restart() if $what eq 'reset';
    exit if $what eq 'quit';
}

sub restart {
    $boot_id = ($boot_id + 1) % 65536;
    ($bad, $deaf_until_s, $buffer) = (0, 0, '');
    forget();
    hello();
}

sub count_bad { $bad = ($bad + 1) % 256 }

# Ends the set-up: nothing is driven.
sub forget {
    print "free\n" if $board{active};
    %board = (session => 0, items => [], body => '');
    $hello_s = time;
}

sub say_message {
    my ($message) = @_;
    return if !$host || time < $deaf_until_s;
    syswrite $host, encode($message);
}

sub checksum { crc16($board{body}) }

sub hello {
    my $active = $board{active} ? checksum() : 0;
    say_message(pack 'C5 v v C', 0x81, 1, 101, 1, 0, $boot_id, $active, 32);
}

sub reply {
    my ($answers, $index, $status) = @_;
    say_message(pack 'C5 v', 0x82, $board{session}, $answers, $index, $status, checksum());
}

sub heard {
    my ($message) = @_;
    my ($type, $length) = (ord $message, length $message);
    if    ($type == 0x01 && $length == 2)  { hello() }
    elsif ($type == 0x02 && $length == 9)  { reply(0x02, 0, begin($message)) }
    elsif ($type == 0x03 && $length == 11) { reply(0x03, ord(substr $message, 1), item($message)) }
    elsif ($type == 0x04 && $length == 3)  { reply(0x04, 0, commit(unpack 'xv', $message)) }
    elsif ($type == 0x05 && $length >= 6)  { command($message) }
    elsif ($type == 0x06 && $length == 1)  { forget(); hello() }
    else                                   { count_bad() }
}

sub begin {
    my ($session, $count, $wanted, $timeout_ms, $interval_ms) = unpack 'x C C v3', $_[0];
    forget();
    return 8 if !$session || !$timeout_ms || !$interval_ms;
    return 3 if $count > 32;
    @board{qw(begun session count wanted timeout_s interval_s)} =
        (1, $session, $count, $wanted, $timeout_ms / 1000, $interval_ms / 1000);
    return 0;
}

sub item {
    my ($index, $body) = unpack 'x C a9', $_[0];
    my $items = $board{items};
    return 2 if !$board{begun};
    return 0 if @$items && $index == $#$items && $items->[-1]{body} eq $body;
    return 2 if $index != @$items || $index >= $board{count};
    my %item = (body => $body);
    @item{qw(kind pin flags p1 p2 p3)} = unpack 'C3 v3', $body;
    my $status = judge(\%item);
    return $status if $status;
    push @$items, \%item;
    $board{body} .= $body;
    return 0;
}

sub judge {
    my ($item) = @_;
    my ($kind, $pin, $flags, $p1, $p2, $p3) = @$item{qw(kind pin flags p1 p2 p3)};
    my %known = (0x01 => 0x0B, 0x02 => 0, 0x10 => 0x06, 0x11 => 0);
    return 4 if !exists $known{$kind};
    my ($digital, $analogue) = ($pin >= 2 && $pin <= 12, $pin == 14 || $pin == 15);
    return 5 if !$digital && !$analogue;
    return 6 if grep { $_->{pin} == $pin } @{ $board{items} };
    return 7 if $kind == 0x02 ? !$analogue : !$digital;
    return 7 if $kind == 0x10 && $flags & 0x04 && $pin != 5 && $pin != 6;
    return 8 if $flags & ~$known{$kind};
    return 8 if $kind == 0x11 ? $p1 < 31 || $p1 > 10000 || !$p2 || !$p3 : $p2 || $p3;
    return 8 if $kind == 0x01 && ($p1 < 1 || $p1 > 500);
    return 8 if $kind == 0x02 && $p1 > 1023;
    return 8 if $kind == 0x10 && $p1 > 255;
    return 3 if $kind == 0x11 && grep { $_->{kind} == 0x11 } @{ $board{items} };
    return 0;
}

sub of_kind {
    my %wanted = map { $_ => 1 } @_;
    return grep { $wanted{ $_->{kind} } } @{ $board{items} };
}

sub commit {
    my ($said) = @_;
    return 2 if !$board{begun} || @{ $board{items} } != $board{count};
    return 1 if $said != $board{wanted} || $said != checksum();
    return 0 if $board{active};
    my $now_s = time;
    @board{qw(active settling commanded silent lost waits)} = (1, 1, 0, 0, 0, 1);
    @board{qw(sequence command first edges reported)} = (0, 0, 0, [], 0);
    @board{qw(committed_s heard_s report_s analogue_s)} = ($now_s) x 4;
    for my $contact (of_kind(0x01)) {
        my $raw = raw($contact);
        @$contact{qw(raw state burst changed_s burst_s)} = ($raw, $raw, 1, $now_s, $now_s);
    }
    $_->{counts} = $counts{ $_->{pin} } // 0 for of_kind(0x02);
    idle();
    return 0;
}

# An open contact is high by its pull-up; without one we take it for high too.
sub raw {
    my ($contact) = @_;
    my $high = !$grounded{ $contact->{pin} };
    return $contact->{flags} & 0x02 ? !$high || 0 : $high || 0;
}

sub idle {
    drive($_, $_->{kind} == 0x10 ? $_->{p1} : 0) for of_kind(0x10, 0x11);
}

sub drive {
    my ($output, $value) = @_;
    return if defined $output->{value} && $output->{value} == $value;
    $output->{value} = $value;
    if ($output->{kind} == 0x10) {
        my $shown = $output->{flags} & 0x04 || !$value ? $value : 255;
        print "lamp $output->{pin} $shown\n";
    } else {
        $output->{since_s} = time;
        sound($output, $value != 0);
    }
}

sub sound {
    my ($tone, $on) = @_;
    $tone->{sounds} = $on;
    print "tone $tone->{pin} ", $on ? $tone->{p1} : 0, "\n";
}

sub command {
    my ($session, $sequence, $ack, $values) = unpack 'x C v v a*', $_[0];
    return if !$board{active} || $session != $board{session};
    my @outputs = of_kind(0x10, 0x11);
    my @values  = unpack 'C*', $values;
    if (@values != @outputs || grep { $outputs[$_]{kind} == 0x11 && $values[$_] > 2 } 0 .. $#values) {
        return count_bad();
    }
    my $step = ($sequence - $board{command}) % 65536;
    return if $board{commanded} && ($step == 0 || $step > 32767);
    @board{qw(commanded command silent heard_s)} = (1, $sequence, 0, time);
    drive($outputs[$_], $values[$_]) for 0 .. $#outputs;
    my $known = ($ack - $board{first}) % 65536;
    if ($known && $known <= @{ $board{edges} }) {
        drop($known);
        $board{lost}  = 0;
        $board{waits} = 1 if @{ $board{edges} } > $board{reported};
    }
    $board{waits} = 1 if time - $board{report_s} >= 0.020;
}

sub drop {
    my ($number) = @_;
    splice @{ $board{edges} }, 0, $number;
    $board{first} = ($board{first} + $number) % 65536;
    $board{reported} = $board{reported} > $number ? $board{reported} - $number : 0;
}

sub work {
    my $now_s = time;
    if (!$board{begun}) {
        return if $now_s - $hello_s < 0.5;
        $hello_s += 0.5;
        return hello();
    }
    return if !$board{active};
    scan($now_s);
    if ($now_s - $board{analogue_s} >= 0.02) {
        $board{analogue_s} = $now_s;
        for my $lever (of_kind(0x02)) {
            my $reading = $counts{ $lever->{pin} } // 0;
            next if abs($reading - $lever->{counts}) <= $lever->{p1};
            $lever->{counts} = $reading;
            $board{waits} = 1;
        }
    }
    for my $tone (of_kind(0x11)) {
        next if $tone->{value} != 1;
        my $part_s = ($tone->{sounds} ? $tone->{p2} : $tone->{p3}) / 1000;
        next if $now_s - $tone->{since_s} < $part_s;
        $tone->{since_s} += $part_s;
        sound($tone, !$tone->{sounds});
    }
    if (!$board{silent} && $now_s - $board{heard_s} >= $board{timeout_s}) {
        $board{silent} = 1;
        idle();
    }
    my $past_s = $now_s - $board{report_s};
    $board{waits} = 1 if $past_s >= $board{interval_s};
    $board{waits} = 1 if @{ $board{edges} } && $past_s >= 0.040;
    report($now_s) if $board{waits} && !$board{settling};
}

# Debouncing as in section 4.9, settling as in 4.2.
sub scan {
    my ($now_s) = @_;
    my $quiet = 1;
    my @contacts = of_kind(0x01);
    for my $place (0 .. $#contacts) {
        my $contact = $contacts[$place];
        my ($raw, $time_s) = (raw($contact), $contact->{p1} / 1000);
        if ($raw != $contact->{raw}) {
            @$contact{qw(raw changed_s)} = ($raw, $now_s);
            @$contact{qw(burst noisy burst_s)} = (1, 0, $now_s) if !$contact->{burst};
            $contact->{noisy} = 1 if $now_s - $contact->{burst_s} > 2 * $time_s;
        }
        my $stable = $now_s - $contact->{changed_s} >= $time_s;
        $contact->{burst} = 0 if $stable;
        $quiet = 0 if !$stable;
        my $holds = $contact->{flags} & 0x08;
        next if $raw == $contact->{state};
        next if $holds ? $now_s - ($contact->{held_s} // 0) < $time_s : !$stable;
        $contact->{held_s} = $now_s;
        $contact->{state}  = $raw;
        next if $board{settling};
        if (@{ $board{edges} } >= 32) {
            drop(1);
            $board{lost} = 1;
        }
        push @{ $board{edges} }, $place | ($raw ? 0x80 : 0);
        $board{waits} = 1;
    }
    return if !$board{settling};
    my $waited_s = $now_s - $board{committed_s};
    return if @contacts && $waited_s < 0.6 && (!$quiet || $waited_s < 0.010);
    $_->{state} = $_->{raw} for @contacts;
    $board{settling} = 0;
}

sub report {
    my ($now_s) = @_;
    my @edges = @{ $board{edges} };
    my @later = splice @edges, @edges > 16 ? 16 : @edges;
    my @contacts = of_kind(0x01);
    my @state = map { $_->{state} } @contacts;
    $state[$_ & 0x7F] ^= 1 for @later;
    my $flags = ($board{silent} ? 1 : 0) | ($board{lost} ? 2 : 0);
    $flags |= 4 if grep { $_->{noisy} } @contacts;
    my $bits = pack 'b*', join '', @state;
    my $head = pack 'C2 v2 C2 v C', 0x83, $board{session}, $board{sequence}, $board{command},
        $flags, $bad, $board{first}, scalar @edges;
    say_message($head . $bits . pack('v*', map { $_->{counts} } of_kind(0x02)) . pack 'C*', @edges);
    $board{sequence} = ($board{sequence} + 1) % 65536;
    $board{reported} = @edges if @edges > $board{reported};
    @board{qw(report_s waits)} = ($now_s, 0);
}
